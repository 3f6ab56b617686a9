"""
The day's board: a page on the kitchen's own network on which the crew ticks what is begun and done.

It imports ``app``; nothing imports it but its own command. Its libraries (starlette, uvicorn, watchfiles) live here.
"""
