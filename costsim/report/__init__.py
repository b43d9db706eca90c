"""The printed report: one page to sign and a calculation sheet, as PDF or as one HTML file.

Read in this order: `blocks` (what a report is made of), `basis` (everything computed once), `sign` and `sheet` (what stands on
them), `drawing` and `figures` (vector charts), `html` and `pdf` (how it looks), `write` (from study to file).
"""
