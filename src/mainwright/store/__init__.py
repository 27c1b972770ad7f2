"""The database: jobs by revision, records, and the logs of runs, each chained by hash. One schema for SQLite and PostgreSQL."""
