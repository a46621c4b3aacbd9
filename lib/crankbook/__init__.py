"""What makes a workbook of crankmath: panels, forms, pictures, lessons, sheet, class kit,
command."""

__docformat__ = "numpy"  # of the pages made by pdoc
