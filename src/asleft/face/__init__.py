"""What the screen and the text wizard share: the rows of each pane, and what is typed and not yet taken."""
