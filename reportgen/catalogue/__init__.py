"""What the operator wrote: the workbook and its curve files, as records and problems."""
