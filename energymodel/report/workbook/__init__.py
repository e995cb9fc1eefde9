"""The workbook of a comparison, one module per page."""
