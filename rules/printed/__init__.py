"""Pages to print: what stands on them, and how they are written as Markdown or HTML."""
