"""The record of walks: what a job is, how it is kept, how a walk comes out of it. The only importer of SQLAlchemy."""
