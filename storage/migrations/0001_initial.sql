-- One row a noun; the body is JSON (lengths in whole nanometres, money as decimal text, times RFC 3339).
-- sum is the CRC-32C of the row, so that a bit that flipped on the disk is noticed.
CREATE TABLE record (
  kind  TEXT    NOT NULL,
  id    INTEGER NOT NULL CHECK (id > 0),
  piece INTEGER NOT NULL DEFAULT 0,
  body  TEXT    NOT NULL CHECK (json_valid(body)),
  sum   INTEGER NOT NULL,
  PRIMARY KEY (kind, id)
);
CREATE INDEX record_by_piece ON record (piece, kind);

-- One row an edit that can be undone; its changes hold every record before and after.
CREATE TABLE edit (
  seq       INTEGER PRIMARY KEY AUTOINCREMENT,
  piece     INTEGER NOT NULL,
  label     TEXT    NOT NULL,
  merge_key TEXT    NOT NULL DEFAULT '',
  at        TEXT    NOT NULL,
  undone    INTEGER NOT NULL DEFAULT 0 CHECK (undone IN (0, 1))
);
CREATE INDEX edit_by_piece ON edit (piece, undone, seq);

CREATE TABLE edit_change (
  seq    INTEGER NOT NULL REFERENCES edit (seq) ON DELETE CASCADE,
  n      INTEGER NOT NULL,
  kind   TEXT    NOT NULL,
  id     INTEGER NOT NULL,
  piece  INTEGER NOT NULL,
  before TEXT,
  after  TEXT,
  sum    INTEGER NOT NULL,
  PRIMARY KEY (seq, n)
) WITHOUT ROWID;

-- How the window was left: size, splits, room, open piece.
CREATE TABLE setting (
  name  TEXT PRIMARY KEY,
  value TEXT NOT NULL
) WITHOUT ROWID;
