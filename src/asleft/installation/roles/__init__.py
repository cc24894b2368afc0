"""How a topic's options are weighed, one file a role; `forecast` lists them."""
