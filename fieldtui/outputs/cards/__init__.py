"""Confirmation cards: which are owed, what became of them, and cards and labels to print.

`promises` and `marks` are pure; `journals` reads and writes the folder of journals, `addresses` the private
file of postal addresses; `document` makes the PDF from `backs`, `labels`, `geometry` and `typeface`.
"""
