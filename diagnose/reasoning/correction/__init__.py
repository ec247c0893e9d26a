"""From causes to what is done, in which order, at what cost, and who pays."""
