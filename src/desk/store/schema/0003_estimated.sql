-- Whether `share` is an estimate, by the bytes that were read: not every file states its length.
ALTER TABLE jobs ADD COLUMN share_estimated BIGINT NOT NULL DEFAULT 0;
