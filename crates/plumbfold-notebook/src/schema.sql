-- Every record stands once in `entry` and once in the table of its kind, under one number.
-- Nothing is ever changed or deleted: the triggers below refuse it.
CREATE TABLE entry (
    seq INTEGER PRIMARY KEY AUTOINCREMENT,
    id TEXT NOT NULL UNIQUE,
    at TEXT NOT NULL,
    kind TEXT NOT NULL,
    replaces TEXT
) STRICT;

CREATE TABLE "version" (
    seq INTEGER PRIMARY KEY REFERENCES entry (seq),
    "plane" TEXT NOT NULL,
    "version" TEXT NOT NULL,
    "text" TEXT NOT NULL,
    "note" TEXT
) STRICT;

CREATE TABLE "copy" (
    seq INTEGER PRIMARY KEY REFERENCES entry (seq),
    "copy" TEXT NOT NULL,
    "plane" TEXT NOT NULL,
    "version" TEXT,
    "paper" TEXT,
    "by" TEXT,
    "note" TEXT
) STRICT;

CREATE TABLE "balance" (
    seq INTEGER PRIMARY KEY REFERENCES entry (seq),
    "plane" TEXT NOT NULL,
    "version" TEXT,
    "copy" TEXT,
    "behind_nose_mm" REAL NOT NULL,
    "give_or_take_mm" REAL,
    "mass_g" REAL,
    "method" TEXT,
    "note" TEXT
) STRICT;

CREATE TABLE "session" (
    seq INTEGER PRIMARY KEY REFERENCES entry (seq),
    "place" TEXT NOT NULL,
    "thrower" TEXT,
    "temperature_c" REAL,
    "pressure_hpa" REAL,
    "humidity_percent" REAL,
    "hall_length_m" REAL,
    "note" TEXT
) STRICT;

CREATE TABLE "throw" (
    seq INTEGER PRIMARY KEY REFERENCES entry (seq),
    "plane" TEXT NOT NULL,
    "version" TEXT,
    "copy" TEXT,
    "session" TEXT,
    "distance_m" REAL,
    "time_s" REAL,
    "hand_m" REAL,
    "top_m" REAL,
    "style" TEXT,
    "did" TEXT,
    "ended" TEXT,
    "trim" TEXT,
    "note" TEXT
) STRICT;

CREATE TABLE "path" (
    seq INTEGER PRIMARY KEY REFERENCES entry (seq),
    "plane" TEXT NOT NULL,
    "version" TEXT,
    "throw" TEXT,
    "points" TEXT NOT NULL,
    "note" TEXT
) STRICT;

CREATE TABLE "photo" (
    seq INTEGER PRIMARY KEY REFERENCES entry (seq),
    "of" TEXT NOT NULL,
    "file" TEXT NOT NULL,
    "sha256" TEXT,
    "note" TEXT
) STRICT;

CREATE TABLE "calibration" (
    seq INTEGER PRIMARY KEY REFERENCES entry (seq),
    "plane" TEXT NOT NULL,
    "version" TEXT,
    "numbers" TEXT NOT NULL,
    "note" TEXT
) STRICT;

CREATE TABLE "look" (
    seq INTEGER PRIMARY KEY REFERENCES entry (seq),
    "a" TEXT NOT NULL,
    "b" TEXT NOT NULL,
    "throws_a" REAL NOT NULL,
    "throws_b" REAL NOT NULL,
    "of" TEXT NOT NULL
) STRICT;

CREATE TABLE "undo" (
    seq INTEGER PRIMARY KEY REFERENCES entry (seq)
) STRICT;

CREATE TRIGGER "entry_no_change" BEFORE UPDATE ON "entry" BEGIN
    SELECT raise(ABORT, 'records are never changed or deleted');
END;
CREATE TRIGGER "entry_no_delete" BEFORE DELETE ON "entry" BEGIN
    SELECT raise(ABORT, 'records are never changed or deleted');
END;
CREATE TRIGGER "version_no_change" BEFORE UPDATE ON "version" BEGIN
    SELECT raise(ABORT, 'records are never changed or deleted');
END;
CREATE TRIGGER "version_no_delete" BEFORE DELETE ON "version" BEGIN
    SELECT raise(ABORT, 'records are never changed or deleted');
END;
CREATE TRIGGER "copy_no_change" BEFORE UPDATE ON "copy" BEGIN
    SELECT raise(ABORT, 'records are never changed or deleted');
END;
CREATE TRIGGER "copy_no_delete" BEFORE DELETE ON "copy" BEGIN
    SELECT raise(ABORT, 'records are never changed or deleted');
END;
CREATE TRIGGER "balance_no_change" BEFORE UPDATE ON "balance" BEGIN
    SELECT raise(ABORT, 'records are never changed or deleted');
END;
CREATE TRIGGER "balance_no_delete" BEFORE DELETE ON "balance" BEGIN
    SELECT raise(ABORT, 'records are never changed or deleted');
END;
CREATE TRIGGER "session_no_change" BEFORE UPDATE ON "session" BEGIN
    SELECT raise(ABORT, 'records are never changed or deleted');
END;
CREATE TRIGGER "session_no_delete" BEFORE DELETE ON "session" BEGIN
    SELECT raise(ABORT, 'records are never changed or deleted');
END;
CREATE TRIGGER "throw_no_change" BEFORE UPDATE ON "throw" BEGIN
    SELECT raise(ABORT, 'records are never changed or deleted');
END;
CREATE TRIGGER "throw_no_delete" BEFORE DELETE ON "throw" BEGIN
    SELECT raise(ABORT, 'records are never changed or deleted');
END;
CREATE TRIGGER "path_no_change" BEFORE UPDATE ON "path" BEGIN
    SELECT raise(ABORT, 'records are never changed or deleted');
END;
CREATE TRIGGER "path_no_delete" BEFORE DELETE ON "path" BEGIN
    SELECT raise(ABORT, 'records are never changed or deleted');
END;
CREATE TRIGGER "photo_no_change" BEFORE UPDATE ON "photo" BEGIN
    SELECT raise(ABORT, 'records are never changed or deleted');
END;
CREATE TRIGGER "photo_no_delete" BEFORE DELETE ON "photo" BEGIN
    SELECT raise(ABORT, 'records are never changed or deleted');
END;
CREATE TRIGGER "calibration_no_change" BEFORE UPDATE ON "calibration" BEGIN
    SELECT raise(ABORT, 'records are never changed or deleted');
END;
CREATE TRIGGER "calibration_no_delete" BEFORE DELETE ON "calibration" BEGIN
    SELECT raise(ABORT, 'records are never changed or deleted');
END;
CREATE TRIGGER "look_no_change" BEFORE UPDATE ON "look" BEGIN
    SELECT raise(ABORT, 'records are never changed or deleted');
END;
CREATE TRIGGER "look_no_delete" BEFORE DELETE ON "look" BEGIN
    SELECT raise(ABORT, 'records are never changed or deleted');
END;
CREATE TRIGGER "undo_no_change" BEFORE UPDATE ON "undo" BEGIN
    SELECT raise(ABORT, 'records are never changed or deleted');
END;
CREATE TRIGGER "undo_no_delete" BEFORE DELETE ON "undo" BEGIN
    SELECT raise(ABORT, 'records are never changed or deleted');
END;
