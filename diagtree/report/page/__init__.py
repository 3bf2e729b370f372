"""A poster and its walk as one web page that needs no server and no network."""
