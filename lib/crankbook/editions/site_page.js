// Beside its list of files a phone has no room for a lesson: it opens alone.
if (/\/lab\/(index\.html)?$/.test(location.pathname) && Math.min(innerWidth, screen.width) < 600) {
  location.replace(`../notebooks/index.html${location.search || "?path=00-start-here.ipynb"}`);
}
// Where a page is neither on this machine nor under https, a browser lets nothing of the kernel's outlive a reload: said before anything is typed.
(() => {
  if (window.isSecureContext && navigator.serviceWorker) return;
  const words = "Nothing is kept here: answers, predictions, cranks and readings are gone when this page is reloaded or closed. "
    + "They are kept where the same site is opened by an https address, or by localhost on the machine that serves it. "
    + "Until then, take your work with you by the button “Download my work” in lesson 00.";
  const show = () => {
    const notice = document.createElement("p");
    notice.id = "nothing-is-kept";
    notice.setAttribute("role", "alert");
    notice.textContent = words;
    notice.style.cssText = "position:fixed;left:0;right:0;bottom:0;z-index:100000;margin:0;padding:10px 48px 10px 16px;"
      + "font:600 15px/1.4 system-ui,sans-serif;color:#fff;background:#8a1c00";
    const close = document.createElement("button");
    close.type = "button";
    close.textContent = "×";
    close.setAttribute("aria-label", "I have read this");
    close.style.cssText = "position:absolute;top:6px;right:8px;width:32px;height:32px;font-size:20px;color:#fff;background:none;border:1px solid #fff;border-radius:4px";
    close.addEventListener("click", () => notice.remove());
    notice.append(close);
    document.body.append(notice);
  };
  if (document.body) show(); else document.addEventListener("DOMContentLoaded", show);
})();
