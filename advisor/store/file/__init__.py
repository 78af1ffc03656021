"""The one SQLite file and its folder: schema, transactions, writes done once, copies, and who may write.

In: a folder. Out: connections and transactions; backups, and what was put back.
May import nothing of the store.
"""
