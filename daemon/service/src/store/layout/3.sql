-- What was found of the floor and of how boards sit, as it stands: one row at most.
CREATE TABLE standing (
    id INTEGER PRIMARY KEY CHECK (id = 1),
    document TEXT NOT NULL
) STRICT;
