"""Show: an answer as a page of plain blocks, and the page in the terminal, in plain words, in Markdown and as JSON."""
