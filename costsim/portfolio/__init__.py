"""Many homes by one study: a table of homes whose columns override the study, run in blocks, summed up."""
