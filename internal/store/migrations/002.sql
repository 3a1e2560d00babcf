ALTER TABLE flights ADD COLUMN pack INTEGER REFERENCES packs(id);
ALTER TABLE flights ADD COLUMN forecast_odds REAL;
ALTER TABLE flights ADD COLUMN forecast_odds_low REAL;
ALTER TABLE flights ADD COLUMN forecast_odds_high REAL;
ALTER TABLE flights ADD COLUMN forecast_speed_m_s REAL;
ALTER TABLE flights ADD COLUMN forecast_speed_low_m_s REAL;
ALTER TABLE flights ADD COLUMN forecast_speed_high_m_s REAL;
ALTER TABLE flights ADD COLUMN forecast_by TEXT;

CREATE TABLE packs (
  id INTEGER PRIMARY KEY,
  sum TEXT NOT NULL,
  uid TEXT NOT NULL UNIQUE,
  entered TEXT NOT NULL,
  struck TEXT,
  name TEXT,
  cells INTEGER,
  parallel INTEGER,
  capacity_c REAL,
  chemistry TEXT,
  mass_kg REAL,
  since TEXT,
  retired TEXT,
  note TEXT
) STRICT;

CREATE TABLE cycles (
  id INTEGER PRIMARY KEY,
  sum TEXT NOT NULL,
  uid TEXT NOT NULL UNIQUE,
  entered TEXT NOT NULL,
  struck TEXT,
  pack INTEGER REFERENCES packs(id),
  day TEXT,
  flight INTEGER REFERENCES flights(id),
  charged_c REAL,
  cell_resistance_ohm REAL,
  temperature_k REAL,
  rest_voltage_v REAL,
  how TEXT,
  note TEXT
) STRICT;

CREATE TABLE evidence (
  id INTEGER PRIMARY KEY,
  sum TEXT NOT NULL,
  uid TEXT NOT NULL UNIQUE,
  entered TEXT NOT NULL,
  struck TEXT,
  flight INTEGER REFERENCES flights(id),
  log INTEGER REFERENCES logs(id),
  what TEXT,
  value REAL,
  sd REAL,
  dim TEXT,
  text TEXT,
  window_s REAL,
  method TEXT,
  note TEXT
) STRICT;

CREATE TABLE factors (
  id INTEGER PRIMARY KEY,
  sum TEXT NOT NULL,
  uid TEXT NOT NULL UNIQUE,
  entered TEXT NOT NULL,
  struck TEXT,
  day TEXT,
  name TEXT,
  component TEXT,
  value REAL,
  sigma REAL,
  shift INTEGER,
  label TEXT,
  why TEXT,
  ref TEXT,
  how TEXT,
  note TEXT
) STRICT;

CREATE TABLE repairs (
  id INTEGER PRIMARY KEY,
  sum TEXT NOT NULL,
  uid TEXT NOT NULL UNIQUE,
  entered TEXT NOT NULL,
  struck TEXT,
  day TEXT,
  aeroplane TEXT,
  flight INTEGER REFERENCES flights(id),
  broken TEXT,
  done TEXT,
  build_before INTEGER REFERENCES builds(id),
  build_after INTEGER REFERENCES builds(id),
  mass_kg REAL,
  x_m REAL,
  y_m REAL,
  z_m REAL,
  drag_area_m2 REAL,
  regained REAL,
  regained_low REAL,
  proof_load_n REAL,
  proof_moment_nm REAL,
  proofed INTEGER,
  note TEXT
) STRICT;

