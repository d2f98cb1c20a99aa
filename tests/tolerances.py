"""Every tolerance of the suite, named once, with its reason. A bare number in a test is a mistake."""

EXACT = 0.0  # the same bits: same algorithm, any blocks, threads or starting order
ALGEBRA = 1e-12  # the same mathematics in another order of float64 operations, signals near full scale
DESIGN_DB = 1e-9  # a closed form in dB
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
