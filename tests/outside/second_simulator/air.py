"""Two FM links one after the other, in complex baseband at 48 kHz, by numpy and scipy."""

import numpy as np
import scipy.signal as sig

RATE = 48_000
DEVIATION_HZ = 5_000.0
# The receiver's filter: a 25 kHz channel.
IF = sig.firwin(129, 8_000, fs=RATE)
# 750 us, as a one-pole filter, and its inverse.
POLE = np.exp(-1 / (750e-6 * RATE))


def low_pass(x, hz, order=4):
    return sig.sosfilt(sig.butter(order, hz, fs=RATE, output="sos"), x)


def band(x, low_hz, high_hz, order=4):
    return sig.sosfilt(sig.butter(order, [low_hz, high_hz], "band", fs=RATE, output="sos"), x)


def smooth(gate, seconds):
    """A gate without a click."""
    pole = np.exp(-1 / (seconds * RATE))
    return sig.lfilter([1 - pole], [1, -pole], gate.astype(float))


def modulate(sound, emphasis=True):
    """Sound of peaks about 0.6 to a carrier of power 1. A 1 kHz tone of 1 is full deviation."""
    if emphasis:
        # Gain 1 at 1 kHz.
        sound = sig.lfilter([1, -POLE], [abs(1 - POLE * np.exp(-2j * np.pi * 1000 / RATE))], sound)
    limited = low_pass(np.clip(sound, -1, 1), 3_300, 6)
    return np.exp(2j * np.pi * np.cumsum(limited) * DEVIATION_HZ / RATE)


def white(rng, count):
    """Complex noise of power 1 in all of the baseband's width."""
    return (rng.standard_normal(count) + 1j * rng.standard_normal(count)) / np.sqrt(2)


def receive(rng, carrier, cnr_db, emphasis=True):
    """What a set makes of a carrier (0 where there is none) at this ratio, in dB, of carrier to noise in
    its filter; a number, or one for each sample."""
    noise = sig.fftconvolve(white(rng, len(carrier)), IF, mode="same")
    noise /= np.sqrt(np.sum(IF**2))
    signal = sig.fftconvolve(carrier * 10 ** (np.asarray(cnr_db) / 20), IF, mode="same")
    heard = signal + noise
    turn = np.angle(heard[1:] * np.conj(heard[:-1]), deg=False)
    sound = np.append(turn, turn[-1]) * RATE / (2 * np.pi) / DEVIATION_HZ
    if emphasis:
        sound = sig.lfilter([abs(1 - POLE * np.exp(-2j * np.pi * 1000 / RATE))], [1, -POLE], sound)
    return sound
