-- A logbook of format 3, frozen. Invented flights.
PRAGMA application_id = 1179403335;
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

PRAGMA user_version = 3;
INSERT INTO files (id, sum, uid, entered, sha256, size, packing, packed)
  VALUES (1, '5a57ba753a40477a', '5d4cdd2a7c0d3b83', '2026-04-01T10:00:01.000000000Z', 'cffb5a8dabd70ef30dc54995ffb2231ea56fdfab4ff1cc805c958a00c0812c25', 34, 'none', x'666c656467653a20310a6165726f706c616e653a207b6e616d653a205772656e7d0a');
INSERT INTO files (id, sum, uid, entered, sha256, size, packing, packed)
  VALUES (2, 'd1b53f84d7086df8', 'f0ddb14dfc4347d7', '2026-04-01T10:00:02.000000000Z', 'd3a1f660618bc14a91dd0cf10c85e0d92ece37bc0c316bd641e5447426442d52', 160, 'gzip', x'1f8b08000000000002ff2ad129e31acc18100000ffff482248faa0000000');
INSERT INTO builds (id, sum, uid, entered, aeroplane, path, hash, text_file)
  VALUES (1, '7d25e885a20b4ed8', '8665b12c291a40f1', '2026-04-01T10:00:03.000000000Z', 'Wren', 'wren.yaml', '90ce7941c29f977f9356d63ab4921d7cf35d84db40b1f0ca8d2273d31bb55616', 1);
INSERT INTO packs (id, sum, uid, entered, name, cells, capacity_c)
  VALUES (1, 'd33cc2dc39529590', '6799c368de6c62bc', '2026-04-01T10:00:04.000000000Z', 'blue', 3, 7920);
INSERT INTO cycles (id, sum, uid, entered, pack, day, cell_resistance_ohm)
  VALUES (1, 'f999d8ce725d0e0f', '59433012716e7dba', '2026-04-01T10:00:05.000000000Z', 1, '2026-03-30', 0.0045);
INSERT INTO flights (id, sum, uid, entered, day, aeroplane, build, launch_by, stretch_m, wind_m_s, outcome, launched, duration_s, top_speed_m_s, top_speed_sd_m_s, pack, forecast_odds)
  VALUES (1, '2d97fdb9ec9fee27', '006852dd9eea882b', '2026-04-01T10:00:06.000000000Z', '2026-04-01', 'Wren', 1, 'bungee', 9, 3, 'airborne', 1, 372.5, 41.5, 0.5, 1, 0.875);
INSERT INTO flights (id, sum, uid, entered, day, aeroplane, build, launch_by, stretch_m, outcome, launched, because, note)
  VALUES (2, '4c65fffd0b7681bf', '89c61b6f7b567aa1', '2026-04-01T10:00:07.000000000Z', '2026-04-01', 'Wren', 1, 'bungee', 8.5, 'never-left', 0, 'wet grass', 'Jo''s cord');
INSERT INTO logs (id, sum, uid, entered, flight, file, name)
  VALUES (1, '96f6e5035a167e41', '9e850fe19cd6f69c', '2026-04-01T10:00:08.000000000Z', 1, 2, 'a.csv');
INSERT INTO readings (id, sum, uid, entered, flight, quantity, value, sd, dim, text)
  VALUES (1, '0434ff10917a1e43', 'aa43a4bf5e99c4ba', '2026-04-01T10:00:09.000000000Z', 1, 'cell voltage', 3.71, 0.01, 'voltage', '3.71 V');
INSERT INTO repairs (id, sum, uid, entered, day, flight, broken, mass_kg, x_m)
  VALUES (1, '23ec7fcde719a11b', '8ae4fc0fe756707a', '2026-04-01T10:00:10.000000000Z', '2026-04-02', 2, 'nose', 0.012, 0.08);
INSERT INTO factors (id, sum, uid, entered, day, name, component, value, sigma)
  VALUES (1, 'cefe6b7e8618500b', '4a269a4ab1d976ad', '2026-04-01T10:00:11.000000000Z', '2026-04-02', 'drag', 'airframe', 1.1, 0.05);
