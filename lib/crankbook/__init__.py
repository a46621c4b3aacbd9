"""What makes a workbook of crankmath: panels, forms, pictures, lessons, sheet, class kit,
command."""
