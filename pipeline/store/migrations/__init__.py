"""The migrations of the store's database, run by ``pipeline/store/migration.py``."""
