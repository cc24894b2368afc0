"""The wizard as text: commands for scripts and for people without a screen."""
