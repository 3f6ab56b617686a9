"""The write stage; see DEVELOPERS.md."""
