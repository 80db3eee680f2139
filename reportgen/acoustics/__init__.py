"""Physics of radiators, drivers, guides, baffles and the listening place; knows no workbook and no report."""
