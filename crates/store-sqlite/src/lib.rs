//! Records in one SQLite file and films in a folder beside it
