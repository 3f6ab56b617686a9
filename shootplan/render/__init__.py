"""The render stage; see DEVELOPERS.md."""
