//! Truth first: FM physics, repeater, listener, recorder, scenarios to audio and labels.
