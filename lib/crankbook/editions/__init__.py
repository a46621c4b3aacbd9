"""The workbook without an install: panels as single files, and a site that runs in a browser."""
