"""HTTPS on the local network: the laptop's own certificate authority, and what takes TLS off for the server.

In: the data folder, the laptop's names, sockets. Out: a context for TLS, and the application as it stands
behind it. May import model, and the names and addresses of the local network (web.access).
"""
