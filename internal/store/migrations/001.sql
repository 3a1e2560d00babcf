CREATE TABLE files (
  id INTEGER PRIMARY KEY,
  sum TEXT NOT NULL,
  uid TEXT NOT NULL UNIQUE,
  entered TEXT NOT NULL,
  struck TEXT,
  sha256 TEXT NOT NULL UNIQUE,
  size INTEGER,
  packing TEXT,
  packed BLOB
) STRICT;

CREATE TABLE builds (
  id INTEGER PRIMARY KEY,
  sum TEXT NOT NULL,
  uid TEXT NOT NULL UNIQUE,
  entered TEXT NOT NULL,
  struck TEXT,
  aeroplane TEXT,
  path TEXT,
  hash TEXT,
  text_file INTEGER REFERENCES files(id),
  attachments TEXT
) STRICT;

CREATE TABLE flights (
  id INTEGER PRIMARY KEY,
  sum TEXT NOT NULL,
  uid TEXT NOT NULL UNIQUE,
  entered TEXT NOT NULL,
  struck TEXT,
  day TEXT,
  clock TEXT,
  aeroplane TEXT,
  build INTEGER REFERENCES builds(id),
  place TEXT,
  launch_by TEXT,
  stretch_m REAL,
  throw_speed_m_s REAL,
  nose_up_rad REAL,
  stick_pitch REAL,
  motor_delay_s REAL,
  wind_m_s REAL,
  gust_m_s REAL,
  off_axis_rad REAL,
  temperature_k REAL,
  outcome TEXT,
  launched INTEGER,
  because TEXT,
  duration_s REAL,
  charge_used_c REAL,
  release_speed_m_s REAL,
  top_speed_m_s REAL,
  top_speed_sd_m_s REAL,
  hard_landing INTEGER,
  landing_load_m_s2 REAL,
  note TEXT
) STRICT;

CREATE TABLE logs (
  id INTEGER PRIMARY KEY,
  sum TEXT NOT NULL,
  uid TEXT NOT NULL UNIQUE,
  entered TEXT NOT NULL,
  struck TEXT,
  flight INTEGER REFERENCES flights(id),
  file INTEGER REFERENCES files(id),
  name TEXT,
  kind TEXT,
  note TEXT
) STRICT;

CREATE TABLE readings (
  id INTEGER PRIMARY KEY,
  sum TEXT NOT NULL,
  uid TEXT NOT NULL UNIQUE,
  entered TEXT NOT NULL,
  struck TEXT,
  flight INTEGER REFERENCES flights(id),
  day TEXT,
  quantity TEXT,
  value REAL,
  sd REAL,
  dim TEXT,
  text TEXT,
  how TEXT,
  note TEXT
) STRICT;

