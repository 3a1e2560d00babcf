CREATE TABLE parts (
  id INTEGER PRIMARY KEY,
  sum TEXT NOT NULL,
  uid TEXT NOT NULL UNIQUE,
  entered TEXT NOT NULL,
  struck TEXT,
  name TEXT,
  kind TEXT,
  aeroplane TEXT,
  since TEXT,
  retired TEXT,
  note TEXT
) STRICT;

CREATE TABLE wear (
  id INTEGER PRIMARY KEY,
  sum TEXT NOT NULL,
  uid TEXT NOT NULL UNIQUE,
  entered TEXT NOT NULL,
  struck TEXT,
  part INTEGER REFERENCES parts(id),
  day TEXT,
  flight INTEGER REFERENCES flights(id),
  time_s REAL,
  hard_landings INTEGER,
  load_n REAL,
  note TEXT
) STRICT;

CREATE TABLE costs (
  id INTEGER PRIMARY KEY,
  sum TEXT NOT NULL,
  uid TEXT NOT NULL UNIQUE,
  entered TEXT NOT NULL,
  struck TEXT,
  day TEXT,
  what TEXT,
  cents INTEGER,
  currency TEXT,
  time_s REAL,
  repair INTEGER REFERENCES repairs(id),
  part INTEGER REFERENCES parts(id),
  note TEXT
) STRICT;

