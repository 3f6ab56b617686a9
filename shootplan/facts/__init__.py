"""The facts stage; see DEVELOPERS.md."""
