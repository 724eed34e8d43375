-- One text for SQLite and PostgreSQL. Moments are microseconds since 1970 (UTC); secrets are kept
-- as their digests, but for the links that a keeper must be able to print again.

CREATE TABLE keepers (
    id TEXT PRIMARY KEY NOT NULL,
    name TEXT NOT NULL UNIQUE,
    role TEXT NOT NULL,
    password TEXT NOT NULL,
    made_at BIGINT NOT NULL,
    closed_at BIGINT
);

-- One-time links: the first keeper's, and invitations.
CREATE TABLE openings (
    id TEXT PRIMARY KEY NOT NULL,
    token TEXT NOT NULL UNIQUE,
    -- setup or invitation
    kind TEXT NOT NULL,
    role TEXT NOT NULL,
    for_whom TEXT NOT NULL,
    made_by TEXT NOT NULL,
    made_at BIGINT NOT NULL,
    ends_at BIGINT NOT NULL,
    used_at BIGINT
);

CREATE TABLE sessions (
    token TEXT PRIMARY KEY NOT NULL,
    keeper TEXT NOT NULL REFERENCES keepers (id) ON DELETE CASCADE,
    csrf TEXT NOT NULL,
    made_at BIGINT NOT NULL,
    seen_at BIGINT NOT NULL
);

CREATE TABLE bearers (
    id TEXT PRIMARY KEY NOT NULL,
    token TEXT NOT NULL UNIQUE,
    keeper TEXT NOT NULL REFERENCES keepers (id) ON DELETE CASCADE,
    purpose TEXT NOT NULL,
    made_at BIGINT NOT NULL,
    ends_at BIGINT,
    used_at BIGINT
);

CREATE TABLE repeaters (
    id TEXT PRIMARY KEY NOT NULL,
    name TEXT NOT NULL,
    output_mhz TEXT NOT NULL,
    place TEXT NOT NULL,
    hang_s DOUBLE PRECISION,
    hysteresis_db DOUBLE PRECISION,
    -- What members read on the send-in page.
    word TEXT NOT NULL,
    link TEXT NOT NULL UNIQUE,
    linked_at BIGINT NOT NULL,
    made_at BIGINT NOT NULL
);

-- Originals, each content once. `place` names the object; it is new for every storing, so that
-- the removal of an old one can never hit a new one of the same content.
CREATE TABLE originals (
    sha256 TEXT PRIMARY KEY NOT NULL,
    place TEXT NOT NULL UNIQUE,
    bytes BIGINT NOT NULL,
    made_at BIGINT NOT NULL
);

-- Objects that nobody needs any more: removed after the commit that put them here.
CREATE TABLE removals (
    place TEXT PRIMARY KEY NOT NULL,
    made_at BIGINT NOT NULL
);

CREATE TABLE recordings (
    id TEXT PRIMARY KEY NOT NULL,
    repeater TEXT NOT NULL REFERENCES repeaters (id),
    sha256 TEXT NOT NULL REFERENCES originals (sha256),
    receipt TEXT NOT NULL UNIQUE,
    file_name TEXT NOT NULL,
    bytes BIGINT NOT NULL,
    received_at BIGINT NOT NULL,
    -- When a keeper first opened it.
    seen_at BIGINT,
    -- What the member said: where, on what set, its squelch, what they noticed, who they are.
    place TEXT NOT NULL,
    radio TEXT NOT NULL,
    squelch TEXT NOT NULL,
    noticed TEXT NOT NULL,
    sender TEXT NOT NULL,
    -- waiting, done or failed
    state TEXT NOT NULL,
    fault_code TEXT,
    fault TEXT,
    -- What lists and filters need of the result.
    label TEXT,
    probability DOUBLE PRECISION,
    hang_s DOUBLE PRECISION,
    drops BIGINT,
    trials BIGINT,
    came_back BIGINT,
    beats TEXT,
    duration_s DOUBLE PRECISION,
    -- What the keeper says it really was.
    corrected TEXT,
    corrected_by TEXT,
    corrected_at BIGINT,
    correction_note TEXT
);
CREATE INDEX recordings_by_repeater ON recordings (repeater, received_at);
CREATE INDEX recordings_by_sha256 ON recordings (sha256);

CREATE TABLE results (
    recording TEXT PRIMARY KEY NOT NULL REFERENCES recordings (id) ON DELETE CASCADE,
    -- The published result, the same in words, and the drawings.
    check_json TEXT NOT NULL,
    heard_json TEXT NOT NULL,
    pictures_json TEXT NOT NULL,
    made_at BIGINT NOT NULL
);

-- The queue. A job is leased, not taken: whoever crashes loses it to the next. Every lease has a
-- number of its own, and only the holder of the last may write the result.
CREATE TABLE jobs (
    recording TEXT PRIMARY KEY NOT NULL REFERENCES recordings (id) ON DELETE CASCADE,
    -- waiting, leased or done
    state TEXT NOT NULL,
    lease BIGINT NOT NULL,
    leased_by TEXT,
    due_at BIGINT NOT NULL,
    made_at BIGINT NOT NULL,
    ended_at BIGINT,
    -- How often a result was written; more than one would be a fault of the desk.
    endings BIGINT NOT NULL
);
CREATE INDEX jobs_by_due ON jobs (state, due_at);

CREATE TABLE uploads (
    token TEXT PRIMARY KEY NOT NULL,
    repeater TEXT NOT NULL REFERENCES repeaters (id),
    file TEXT NOT NULL,
    -- Name that the sender's machine gave it.
    name TEXT NOT NULL,
    length BIGINT NOT NULL,
    made_at BIGINT NOT NULL,
    recording TEXT REFERENCES recordings (id) ON DELETE CASCADE
);

CREATE TABLE cases (
    id TEXT PRIMARY KEY NOT NULL,
    repeater TEXT NOT NULL REFERENCES repeaters (id),
    title TEXT NOT NULL,
    -- opened, confirmed, being_hunted, repaired or proven
    state TEXT NOT NULL,
    work TEXT NOT NULL,
    site_toml TEXT,
    made_at BIGINT NOT NULL,
    changed_at BIGINT NOT NULL,
    -- Where it came from, if it was imported.
    origin TEXT
);
CREATE INDEX cases_by_repeater ON cases (repeater, made_at);

CREATE TABLE case_recordings (
    case_id TEXT NOT NULL REFERENCES cases (id) ON DELETE CASCADE,
    recording TEXT NOT NULL REFERENCES recordings (id) ON DELETE CASCADE,
    -- before or after the repair, or beside it
    phase TEXT NOT NULL,
    added_at BIGINT NOT NULL,
    PRIMARY KEY (case_id, recording)
);
CREATE INDEX case_recordings_by_recording ON case_recordings (recording);

-- Back-off tests (kind backoff, a table of trials) and tee readings (kind tee, a worksheet).
CREATE TABLE measurements (
    id TEXT PRIMARY KEY NOT NULL,
    case_id TEXT NOT NULL REFERENCES cases (id) ON DELETE CASCADE,
    kind TEXT NOT NULL,
    phase TEXT NOT NULL,
    day TEXT NOT NULL,
    sheet TEXT NOT NULL,
    hysteresis_db DOUBLE PRECISION,
    result_json TEXT NOT NULL,
    -- Desense in dB, for the trend.
    desense_db DOUBLE PRECISION,
    made_by TEXT NOT NULL,
    made_at BIGINT NOT NULL
);
CREATE INDEX measurements_by_case ON measurements (case_id, made_at);

-- Notes stand on a recording or on a case; a case's changes of state are notes without words.
CREATE TABLE notes (
    id TEXT PRIMARY KEY NOT NULL,
    recording TEXT REFERENCES recordings (id) ON DELETE CASCADE,
    case_id TEXT REFERENCES cases (id) ON DELETE CASCADE,
    words TEXT NOT NULL,
    new_state TEXT,
    made_by TEXT NOT NULL,
    made_at BIGINT NOT NULL
);
CREATE INDEX notes_by_recording ON notes (recording);
CREATE INDEX notes_by_case ON notes (case_id);

CREATE TABLE audit (
    id TEXT PRIMARY KEY NOT NULL,
    made_at BIGINT NOT NULL,
    who TEXT NOT NULL,
    kind TEXT NOT NULL,
    about TEXT NOT NULL
);
CREATE INDEX audit_by_moment ON audit (made_at);
