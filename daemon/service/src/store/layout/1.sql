CREATE TABLE car (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    changed_at TEXT NOT NULL,
    record TEXT NOT NULL
) STRICT;

CREATE TABLE visit (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    mark TEXT NOT NULL UNIQUE,
    -- A visit keeps the car as it was; the car itself may go.
    car INTEGER REFERENCES car (id) ON DELETE SET NULL,
    began_at TEXT NOT NULL
) STRICT;

CREATE TABLE entry (
    visit INTEGER NOT NULL REFERENCES visit (id) ON DELETE CASCADE,
    number INTEGER NOT NULL,
    -- Told by whoever adds it, so that asking twice adds once.
    ask TEXT,
    at TEXT NOT NULL,
    body TEXT NOT NULL,
    PRIMARY KEY (visit, number),
    UNIQUE (visit, ask)
) STRICT;

CREATE TABLE recording (
    visit INTEGER NOT NULL,
    number INTEGER NOT NULL,
    name TEXT NOT NULL,
    -- gzip
    content BLOB NOT NULL,
    PRIMARY KEY (visit, number, name),
    FOREIGN KEY (visit, number) REFERENCES entry (visit, number) ON DELETE CASCADE
) STRICT;

-- One row: the visit at hand.
CREATE TABLE at_hand (
    one INTEGER PRIMARY KEY CHECK (one = 1),
    visit INTEGER REFERENCES visit (id) ON DELETE SET NULL
) STRICT;
INSERT INTO at_hand (one, visit) VALUES (1, NULL);
