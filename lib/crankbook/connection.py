"""The way between browser and kernel: every message goes off at once."""

from jupyter_server.services.kernels.connection.channels import ZMQChannelsWebsocketConnection


class PromptConnection(ZMQChannelsWebsocketConnection):
    """Channels of a kernel that hold no small message back until the last is acknowledged.

    A kernel answers in several small messages. By default the second waits for the browser to
    acknowledge the first, which is put off by up to 40 ms (RFC 896 meets RFC 1122, 4.2.3.2).
    """

    async def connect(self):
        self.websocket_handler.set_nodelay(True)
        return await super().connect()
