"""Every tolerance of the suite, named once, with its reason. A bare number in a test is a mistake."""

EXACT = 0.0  # the same bits: same algorithm, any blocks, threads or starting order
ALGEBRA = 1e-12  # the same mathematics in another order of float64 operations, signals near full scale
DESIGN_DB = 1e-9  # a closed form in dB
BETWEEN_DB = -90.0  # a sine of up to 0.9 of Nyquist read between its frames: the window's side lobes
NULL_DB = -120.0  # an independent implementation of the same processor

SPEC_3341_LU = 0.1  # EBU Tech 3341 (2023), Table 1, cases 1 to 14
SPEC_3341_TP_LOW_DB = 0.4  # EBU Tech 3341, Table 1, cases 15 to 23: +0.2 / -0.4 dB
SPEC_3341_TP_HIGH_DB = 0.2
SPEC_3342_LU = 1.0  # EBU Tech 3342, Table 1
ANALOGUE_DB = 0.1  # law 7: an EQ against its analogue prototype up to 16 kHz at 44.1 kHz
CEILING_DB = 0.01  # law 4: how far a 16-times meter may read above the ceiling
FADE_LEVEL_DB = 0.1  # law 6: level through a fade against the straight line, broadband
RIDE_DB = 1e-9  # a drawn ride against the line between its points

DITHER_MEAN_STEPS = 0.003  # six sigma of the mean of 2^20 errors with variance 1/4 step^2
DITHER_VARIANCE_SHARE = 0.01  # over six sigma of the variance of 2^20 errors
NTF_MEAN_DB = 1e-4  # Gerzon-Craven mean of a published shaper: its coefficients have four figures
SHAPED_GAIN_DB = 0.1  # power of 2^19 errors of a shaper whose spectrum is far from white
FIT_DB = 0.02  # law 7 as reached, moves of up to 6 dB: a hundred thousand tried at six rates (docs/tone.md)
BIG_FIT_DB = 0.06  # the same for moves of up to 24 dB
PASS_DB = 0.05  # the same for high and low passes, where they are not more than 20 dB down
TABLE_DB = 1e-6  # a closed form in dB printed with six decimals, or one through coefficients near z = 1
PRINTED = 1e-11  # a coefficient printed with twelve decimals

# Found sections, beats and attacks on the nine songs of tests/test_structure.py (docs/sections.md)
FOUND_F05 = 0.95  # boundaries within 0.5 s, mean of the nine: 0.988 measured
FOUND_F05_EACH = 0.85  # the worst of them: 0.889 (two equal choruses in a row are one section)
FOUND_PAIRWISE = 0.97  # which stretches are the same music: 0.989 to 1, two songs miss it (test_structure.py)
FOUND_BEATS_F = 0.97  # 0.997
FOUND_DOWNBEATS_F = 0.95  # 0.991
FOUND_TEMPO_SHARE = 0.001  # 0.0001, the octave left free
FOOT_MEDIAN_S = 0.008  # what joins need; 0.003 measured, strokes played with 4 ms of jitter
ON_DOWNBEAT_S = 0.03  # the feet of attacks lie 10 to 20 ms beside the grid, played strokes 12
# Issue 6: excess of an edit over both of its passes at found sections; 0.16 and 0.07 measured on eight songs.
FOUND_SEAM_WORST_DB, FOUND_SEAM_DB = 0.35, 0.15
FOOT_MS = 1.5  # a bare attack over quiet noise: the window in which energy is read is 4 ms
THINNED_SEAM_DB = (
    0.02  # a seam in sound thinned to 5.5 kHz: instants and bins lie a little elsewhere; 0.016 measured
)

SPECTRUM_SHARE = 5e-6  # of the largest: eleven passes of float32 over 2048 samples, and sums over bins
SINGLE = 2e-6  # sums of 64 float32 products of signals near full scale
SINGLE_DB = 2e-5  # the same as a level
WEIGHTING_DB = 0.01  # K-weighting at another rate against 48 kHz, up to 10 kHz: the bilinear transform
PEER_LU = 0.05  # libebur128: the plain bilinear transform, 0.03 LU off at 192 kHz (check value 1.1)
PEER_RANGE_LU = 0.3  # libebur128 looks once a second, arsis ten times: other percentiles
PEER_PEAK_DB = 0.1  # libebur128 reads fewer points between samples
TRUE_PEAK_LOW_DB = 0.06  # 16 points a sample miss 0.034 dB at 0.45 of the rate (BS.1770-5, Annex 2) + ripple
TRUE_PEAK_HIGH_DB = 0.006  # ripple of the interpolator up to 0.46 of the rate, and of the hard ends of a tone
CHECK_LU = 0.01  # check values of BS.1770 printed with two decimals
NOISE_LU = 0.02  # ten seconds of noise: four sigma of its level
LEVEL_DB = 1e-9  # the same level by two orders of float64 sums
TONE_BAND_DB = 0.05  # a tone at mid-band: what of a Hann window's main lobe falls outside the band
NEIGHBOUR_DB = 0.3  # a section of 5 s whose first and last frame of 0.37 s hear half of the next section
NOISE_SPREAD_LU = 0.1  # 3 s of noise against 4 s of the same: three sigma
BAND_NOISE_DB = 0.5  # three sigma of 20 s of noise in the narrow bands near 80 Hz
WIDE_NOISE_DB = 0.1  # the same in bands of 380 Hz and more
ONSET_S = 0.004  # two of the steps of 2 ms in which onsets are sought
ATTACK_DB = 0.2  # attacks 11 dB and more above a steady pad, whose share of the attack's power does not move
ATTACK_SHARE = 0.5  # of a lift of the drums alone, in a mix: 0.53 to 0.82 measured (docs/attack.md)
SHAPED_MIX_SHARE = 0.15  # of a lift of 20 ms from each onset of a mix: what lies around it is lifted too
DELAY_DB = 0.001  # the interpolator of a delay, up to 0.95 of Nyquist (docs/tone.md)
DELAY_FRAMES = 1e-4  # the same, how far off the delay it is

DECIBEL_RELATIVE = 1e-15  # log2 and exp2 of decibel.h against 80-bit arithmetic; 4 ulp of float64
TWIN_DB = 1e-11  # a gain in dB made with our log2/exp2 and vectors, against libm sample by sample

ATTACK_S = 0.008  # demo songs: brightness is compared over this long before and after a section's start
ATTACK_RISE_DB = 3.0  # and rises by at least this, although the section before is still ringing
OUTBOARD_GAIN_DB = 0.4  # the outboard print's tone (up to 0.6 dB) and bend (0.2 dB) lie within its level
ALIAS_LOW_DB = -115.0  # saturator, 12 dB of drive, sine of -1 dBFS up to 5 kHz at 44.1 kHz: -118 measured
ALIAS_DB = -85.0  # the same at 10 kHz: -87 with even harmonics, -94 without
ALIAS_HIGH_DB = -72.0  # the same at 15 kHz: -74
CURVE_DB = 0.02  # harmonics of 500 Hz against the plain curve: what the mean between samples takes
HALF_BAND_DB = -95.0  # 100 dB by Kaiser's formula, which is approximate: -95.6 for the short filter

RESAMPLED_SNR_DB = 180.0  # soxr at very high quality, 997 Hz: 187 dB measured in the check values, section 9
RESAMPLED_PASSBAND_DB = 0.01  # soxr.h: its small roll-off is at most this
RESAMPLED_ALIAS_DB = -175.0  # SoX manual: rejection of the very high quality
OFFSET_FRAMES = 0.05  # issue 5 asks for an offset within 0.05 samples
DRIFT_PPM = 0.5  # over 20 s: a hundredth of a frame at each end is 0.02 ppm, music's own bias is more
ALIGNED_FRAMES = 0.02  # issue 6, of the same recording; 0.0005 measured on three songs
OTHER_MIX_MS = 0.05  # issue 6 asks for 1 ms between mixes of a song; 0.0013 measured
GAIN_MATCH_DB = 0.01  # level of one recording over another
FLOAT32 = 2e-6  # a detector that sums some hundred float32 products of signals near full scale
SHORT_METER_DB = 0.1  # a four-times meter of 12 taps a phase has ripple of its own, given to 0.1 dB
MEMORY_MB = 600  # of a print of an hour at 96 kHz
PEER_LU = 0.05  # the issue: integrated loudness and range against libebur128
PEER_TRUE_PEAK_DB = 0.1  # the issue: true peak against libebur128, or higher where theirs under-reads
FFMPEG_DIGIT = 0.1  # ffmpeg prints one decimal
CODED_FRAMES = 0.05  # what is decoded against what was coded, by the peak of their correlation
DECODERS_DB = -100.0  # two decoders of one lossy file in single precision: -100 (Opus) to -165 measured
MP3_DECODERS_DB = -130.0  # the same for MP3: -146 measured
METERS_DB = 0.1  # two true-peak meters of other filters on sound up to half the rate
UNCUT_LU = 0.2  # check values, section 3: what a coder may change of loudness where it cuts nothing
SECTION_CHANGE_LU = 0.1  # a change without gates against one with them
CUT_HZ = 500.0  # where a coder's low-pass is 10 dB down against where it says that it begins
PRESET_LU = 0.01  # a tone's level through a coder that puts a factor on it
VERSIONS_NULL_DBFS = -140.0  # law 10 asks for -90; where no version needs a limiter of its own: -174 measured
SHIFTED_FRAMES = 0.001  # a version moved by part of a frame; issue 5 asks for 0.05
LAW_10_DBFS = -90.0  # law 10, and what issue 5 asks for of mixes shifted by part of a frame: -103 measured
SHIFT_DB = -100.0  # white noise but for the top 1 % of its band, moved by 2^19 taps and by a whole FFT
FOLLOWED_DBFS = -110.0  # made-up plans may raise single-precision saturators' rounding by some 30 dB
GROOVE_DB = 0.001  # bass of one tone in mid and side: both start from silence through the same filter
HUNDREDTHS = 0.00501  # half of a hundredth: a level written with two decimals
SIX_DECIMALS = 5e-7  # half of the last of six decimals
SECOND_READING_DB = 0.02  # a print at the ceiling, limited again: the fine margin of 0.012 dB and its ripple
BEXT_LU = 0.011  # half of bext's hundredth, and what two meters differ by on noise
BEXT_RANGE_LU = 0.11  # the same, where one looks once a second and the other ten times
PEAK_METERS_DB = 0.3  # EBU Tech 3343: tolerance of true-peak meters on sound up to 20 kHz (check values, 2.4)
DECODED_PEAK_DB = 0.01  # two decoders that differ by -100 dB at most differ by 1e-4 of a peak of full scale
CODER_KBPS_SHARE = 0.35  # Opus and Vorbis vary with the music: -19 % measured on the song of these tests
CODED_S = 0.05  # what ffprobe counts of padding where no length is written: under two MP3 frames
ADVISED_LU = 0.05  # advice on loudness against the print made so: 0.003 measured up to 3 dB of limiting
ADVISED_DB = 0.05  # the same of what the limiter took: the same gain, hop by hop
ADVISED_SHARE = 0.005  # of time at work, and of a step kept: 0.0005 and 0.001 measured
ADVISED_ATTACK_DB = 0.05  # a gain taken as steady over 2 ms: 0.03 measured at 3 dB of limiting
ADVISED_STOP_DB = 0.2  # a limit is met from below, in tenths of a dB, and the search may end a tenth early
VOICE_SHARE = (0.2, 0.5)  # of a voice turned up within its band: 0.22 to 0.46 measured (docs/references.md)
VOICE_APART_DB = 1.0  # sung sections over all others of Ebb Clock: 1.1 measured
VOICE_EQUALISED_DB = 0.3  # within one of its bands of 500 Hz a bell is not level
BELL_SEEN_DB = 0.5  # a bell of 3 dB at matched loudness: it raises the loudness it is matched by
BELL_OCTAVES = 1 / 3  # and its centre, from third octaves
FIGURE_DB = 0.1  # a change of level or width known to the dB, in sections whose edges are found
ALIKE_TONE_DB = 0.5  # issue 4: a planted bell's size; what two halves that are treated alike may differ by
ALIKE_OCTAVES = 1 / 3  # issue 4: and its place
ALIKE_LEVEL_DB = 0.4  # width and level planted in one half, and what is found of them where none is planted
ALIKE_BESIDE_DB = 0.7  # what sounds in one half only is taken for level in part: 0.1 to 0.6 on five seeds
ALIKE_SHARE = 0.1  # each band counts alike, not as far as it is loud: 0.04 measured
BELL_CURVE_DB = 0.05  # an analogue bell against ours at 48 kHz, up to 16 kHz (law 7 allows 0.1)
RATES_HEAR_DB = 0.2  # bands of moments at two rates: onsets lie up to a step of 2 ms apart
PREDICTED_DB = 1e-6  # what advice says of a move against the plan with it: the same render, measured alike
BAND_BINS = 1e-9  # a band from running sums of up to 4097 bins, in bins

FADE_SINGLE = 1e-6  # float32 of a weighted sum of sounds near full scale, in the 5 ms of the player's fade
MATCHED_LU = 0.1  # sources at matched loudness, heard at the desk's output and read by libebur128

# Strokes that are the same (tests/test_strokes.py): fifteen of a sample in noise nearly as loud as they are.
# Their gains spread by 0.3 dB in a third octave; a bell is fitted over eight and more of them.
STROKES_TONE_DB, STROKES_LEVEL_DB, STROKES_OCTAVES = 0.4, 0.3, 0.25
STROKES_STACK_DB = 1e-3  # single precision
STROKES_APART_DB = 5.0  # what sounds over a stroke is taken down by more: 5.8 measured, in three rounds
