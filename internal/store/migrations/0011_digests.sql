-- The digest of every row, by table and key, written by triggers in the transaction that
-- writes the row (digests.go), and the highest number that was given in a table. A row
-- that was damaged keeps the digest of what it was.
CREATE TABLE digests (
  of                   TEXT NOT NULL,
  "key"                ANY NOT NULL,
  digest               INTEGER NOT NULL,
  PRIMARY KEY (of, "key")
) STRICT, WITHOUT ROWID;
