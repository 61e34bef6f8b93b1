"""The electrical core: pure computation for small-craft and vehicle DC systems.

Numbers in, results with every intermediate value out. Nothing here knows of a
database, a file, a clock or a web page. Start with the README beside this file.
"""
