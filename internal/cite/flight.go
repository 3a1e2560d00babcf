package cite

// Sources of the flight, atmosphere, sampling and estimation checks.
var (
	HairerI = one(Source{Key: "hairer-ode-1", Text: "Hairer, Norsett & Wanner, Solving Ordinary Differential Equations I, 2nd ed.", Year: 1993, Kind: Published,
		Where: "the Arenstorf example is repeated in public documentation of ODE packages"})
	DormandPrince = one(Source{Key: "dormand-prince-1980", Text: "Dormand & Prince, A family of embedded Runge-Kutta formulae, J. Comput. Appl. Math. 6", Year: 1980, Kind: Published})
	DETEST        = one(Source{Key: "detest-1972", Text: "Hull, Enright, Fellen & Sedgwick, Comparing numerical methods for ordinary differential equations, SIAM J. Numer. Anal. 9", Year: 1972, Kind: Published})
	NISTStRD      = one(Source{Key: "nist-strd", Text: "NIST/ITL Statistical Reference Datasets, nonlinear regression", Year: 1997, Kind: Published,
		Where: "certified values as carried in the .dat files"})
	HansenCMA = one(Source{Key: "hansen-cma-tutorial", Text: "Hansen, The CMA Evolution Strategy: A Tutorial", Year: 2016, Kind: Published})
	JoeKuo    = one(Source{Key: "joe-kuo-2008", Text: "Joe & Kuo, Constructing Sobol sequences with better two-dimensional projections, SIAM J. Sci. Comput. 30", Year: 2008, Kind: Published,
		Where: "direction numbers read from a public numerics library"})
	Owen95 = one(Source{Key: "owen-1995", Text: "Owen, Randomly permuted (t,m,s)-nets and (t,s)-sequences", Year: 1995, Kind: Published})

	ISO2533          = one(Source{Key: "iso-2533", Text: "ISO 2533, Standard Atmosphere (same troposphere as the US Standard Atmosphere 1976)", Year: 1975, Kind: Published})
	MechEngHandbook4 = one(Source{Key: "mech-eng-handbook-4", Text: "Mechanical Engineers' Handbook vol. 4, thermophysical properties, table 6", Year: 2006, Kind: Published,
		Where: "public copy of page 12"})
	AtmosphereFPS = one(Source{Key: "us-standard-atmosphere-fps", Text: "US standard atmosphere in imperial units, public engineering table", Year: 0, Kind: Published})
	CIPM2007      = one(Source{Key: "cipm-2007", Text: "Picard, Davis, Glaeser & Fujii, Revised formula for the density of moist air (CIPM-2007), Metrologia 45, 149-155", Year: 2008, Kind: Published,
		Where: "coefficients read in several agreeing public transcriptions"})
	WagnerPruss = one(Source{Key: "wagner-pruss", Text: "Wagner & Pruss, saturation vapour pressure of ordinary water (IAPWS)", Year: 2002, Kind: Published})
	WMO8        = one(Source{Key: "wmo-8", Text: "WMO-No. 8, Guide to Meteorological Instruments and Methods of Observation, annex 4.B", Year: 2014, Kind: Published})
	Buck81      = one(Source{Key: "buck-1981", Text: "Buck, New equations for computing vapor pressure and enhancement factor, J. Appl. Meteorol. 20 (and 1996 revision)", Year: 1981, Kind: Published})
	NWSDensity  = one(Source{Key: "nws-density-altitude", Text: "US National Weather Service, density altitude formula sheet", Year: 0, Kind: Published, Where: "two public copies"})
	ICAO7488    = one(Source{Key: "icao-altimeter", Text: "ICAO Doc 7488, Manual of the ICAO Standard Atmosphere: altimeter pressure law", Year: 1993, Kind: Published})
	WMOFM15     = one(Source{Key: "wmo-fm15", Text: "WMO-No. 306, Manual on Codes, FM 15-XIV METAR", Year: 2011, Kind: Published, Where: "public copies of the code form"})
	NavyMET     = one(Source{Key: "navy-met-training", Text: "naval meteorology training texts on the METAR wind groups", Year: 0, Kind: Published})
	Davenport   = one(Source{Key: "davenport-roughness", Text: "Davenport roughness classes as revised by Wieringa (1992) for the log wind profile", Year: 1992, Kind: Published,
		Where: "three agreeing public copies"})
	HydrologyZ0 = one(Source{Key: "hydrology-roughness", Text: "Hydrology: An Introduction, table 2.6, roughness of natural surfaces", Year: 2005, Kind: Published})
	MIL8785C    = one(Source{Key: "mil-f-8785c", Text: "MIL-F-8785C, Flying Qualities of Piloted Airplanes, 3.7 (low-altitude disturbance model; also MIL-HDBK-1797)", Year: 1980, Kind: Published})
	CFR25341    = one(Source{Key: "cfr-25-341", Text: "14 CFR 25.341(a), discrete gust design criteria", Year: 1996, Kind: Published})
	PrattGust   = one(Source{Key: "pratt-naca-1206", Text: "Pratt & Walker, A revised gust-load formula, NACA Report 1206", Year: 1954, Kind: Published})

	Newcombe98     = one(Source{Key: "newcombe-1998", Text: "Newcombe, Two-sided confidence intervals for the single proportion, Stat. Med. 17, 857-872, table I", Year: 1998, Kind: Published})
	Wilson27       = one(Source{Key: "wilson-1927", Text: "Wilson, Probable inference, the law of succession, and statistical inference, JASA 22", Year: 1927, Kind: Published})
	ClopperPearson = one(Source{Key: "clopper-pearson-1934", Text: "Clopper & Pearson, The use of confidence or fiducial limits, Biometrika 26", Year: 1934, Kind: Published})
	Ishigami       = one(Source{Key: "ishigami-1990", Text: "Ishigami & Homma, importance quantification test function, with its closed-form Sobol' indices", Year: 1990, Kind: Published})
	SaltelliG      = one(Source{Key: "saltelli-g", Text: "Saltelli & Sobol', g-function, with its closed-form indices", Year: 1995, Kind: Published})
	Jansen99       = one(Source{Key: "jansen-1999", Text: "Jansen, Analysis of variance designs for model output, Comput. Phys. Commun. 117 (in Saltelli et al. 2010)", Year: 1999, Kind: Published})
	EfronLaw       = one(Source{Key: "efron-law-school", Text: "Efron & Tibshirani, An Introduction to the Bootstrap, law-school data", Year: 1993, Kind: Published})
	TailMean       = one(Source{Key: "rockafellar-uryasev", Text: "Rockafellar & Uryasev, Conditional value-at-risk for general loss distributions", Year: 2002, Kind: Published})
)
