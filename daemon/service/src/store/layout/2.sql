-- What is to be published and is not with the broker yet, oldest first.
CREATE TABLE unsent (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    topic TEXT NOT NULL,
    -- Empty: what stands at the topic is taken away.
    document BLOB NOT NULL
) STRICT;
