package cite

// Sources of the radio checks.
var (
	ITUP525    = one(Source{Key: "itu-r-p525", Text: "ITU-R P.525, Calculation of free-space attenuation", Kind: Published})
	ITUP526    = one(Source{Key: "itu-r-p526", Text: "ITU-R P.526, Propagation by diffraction: Fresnel zones (2.1), single knife edge (4.1)", Kind: Published, Where: "a public copy of P.526-8"})
	ITUP527    = one(Source{Key: "itu-r-p527", Text: "ITU-R P.527, Electrical characteristics of the surface of the Earth", Kind: Published})
	ITUP833    = one(Source{Key: "itu-r-p833", Text: "ITU-R P.833, Attenuation in vegetation", Kind: Published})
	Picquenard = one(Source{Key: "picquenard-1974", Text: "Picquenard, Radio Wave Propagation, ch. 4: constants of soil and sea", Year: 1974, Kind: Published, Where: "the chapter's public abstract"})
	AmentRough = one(Source{Key: "ament-1953", Text: "Ament, Toward a theory of reflection by a rough surface, Proc. IRE 41, 142-146", Year: 1953, Kind: Published})
	Balanis    = one(Source{Key: "balanis-antennas", Text: "Balanis, Antenna Theory: dipoles, loops, polarisation loss", Kind: Published})
	Kraus      = one(Source{Key: "kraus-antennas", Text: "Kraus, Antennas: the axial helix", Year: 1950, Kind: Published})
	KingWong   = one(Source{Key: "king-wong-1980", Text: "King & Wong, Characteristics of 1 to 8 wavelength uniform helical antennas, IEEE Trans. Antennas Propag. 28", Year: 1980, Kind: Published})
	Weissberg  = one(Source{Key: "weissberger-1982", Text: "Weissberger, An initial critical summary of models for predicting the attenuation of radio waves by trees", Year: 1982, Kind: Published})
	JohnsonTN  = one(Source{Key: "nyquist-1928", Text: "Johnson and Nyquist, thermal noise of a matched source, kTB", Year: 1928, Kind: Published})
	ETSI300440 = one(Source{Key: "etsi-en-300-440", Text: "ETSI EN 300 440, short range devices, 1 to 40 GHz (an example of a band; local law decides)", Year: 2018, Kind: Published})
)
