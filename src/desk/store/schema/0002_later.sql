-- Removals that the store of originals did not do: how often they were tried, and from when on
-- they are tried again.
ALTER TABLE removals ADD COLUMN tries BIGINT NOT NULL DEFAULT 0;
ALTER TABLE removals ADD COLUMN due_at BIGINT NOT NULL DEFAULT 0;

-- How far the analysis is, 0 to 1, as the holder of the lease last said; none where nobody knows.
ALTER TABLE jobs ADD COLUMN share DOUBLE PRECISION;

-- What the keeper knows beside the cause: the repeater's hang time, and the listening mode.
ALTER TABLE recordings ADD COLUMN corrected_hang_s DOUBLE PRECISION;
ALTER TABLE recordings ADD COLUMN corrected_mode TEXT;
