"""The equipment file: what a maker says of one unit, its loading with exact errors, and the units known."""
