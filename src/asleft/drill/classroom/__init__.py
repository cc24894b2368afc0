"""The classroom: sheets, the hidden unit of a drill, what was reported held against it, the class at work."""
