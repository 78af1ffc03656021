"""SQLite: migrations, sets, gel tables and their history."""
