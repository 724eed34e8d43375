//! No audio: antenna chain, isolated tee, cost, isolation, fault search.
