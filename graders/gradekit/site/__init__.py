"""The lessons without an install: a folder of files that any web server hands out.

`aerialstream site build` makes it, `aerialstream site serve` serves it on the local network. The
same lessons run in the visitor's own browser; nothing is sent anywhere.
"""
