package cite

// Sources of the rigid-body motion, rubber, hook, throw and launch checks.
var (
	NESC2015        = one(Source{Key: "nasa-tm-2015-218675", Text: "Jackson, E. B., Shelton, R. O., Jackson, A. A. et al., Check-cases for verification of six-degree-of-freedom flight vehicle simulations, NASA/TM-2015-218675, vol. I-II", Year: 2015, Kind: Published})
	LandauMechanics = one(Source{Key: "landau-lifshitz-mechanics", Text: "Landau, L. D. and Lifshitz, E. M., Mechanics, section 37: the asymmetrical top", Kind: Published})
	NelsonStability = one(Source{Key: "nelson-stability", Text: "Nelson, R. C., Flight stability and automatic control, 2nd edition, examples 4.3 and 5.3", Year: 1998, Kind: Published})
	Treloar1944     = one(Source{Key: "treloar-1944", Text: "Treloar, L. R. G., Stress-strain data for vulcanised rubber under various types of deformation, Trans. Faraday Soc. 40, 59-70", Year: 1944, Kind: Measured})
	Ogden1972       = one(Source{Key: "ogden-1972", Text: "Ogden, R. W., Large deformation isotropic elasticity, Proc. R. Soc. Lond. A 326, 565-584", Year: 1972, Kind: Published})
	OgdenRoxburgh   = one(Source{Key: "ogden-roxburgh-1999", Text: "Ogden, R. W. and Roxburgh, D. G., A pseudo-elastic model for the Mullins effect in filled rubber, Proc. R. Soc. Lond. A 455, 2861-2877", Year: 1999, Kind: Published})
	Hiraiwa2023     = one(Source{Key: "hiraiwa-2023", Text: "Hiraiwa, T. et al., strain-induced crystallisation of natural rubber, RSC Advances 13 (D3RA07173A)", Year: 2023, Kind: Measured})
	Vermorel2007    = one(Source{Key: "vermorel-2007", Text: "Vermorel, R., Vandenberghe, N. and Villermaux, E., Rubber band recoil, Proc. R. Soc. A 463, 641-658", Year: 2007, Kind: Published})
	CrossThrow      = one(Source{Key: "cross-2004", Text: "Cross, R., Physics of overarm throwing, Am. J. Phys. 72, 305", Year: 2004, Kind: Measured})
	CapstanEquation = one(Source{Key: "capstan-equation", Text: "Euler-Eytelwein belt friction equation, T2/T1 = exp(mu angle)", Kind: Published})
	FAR25Gust       = one(Source{Key: "14-cfr-25-341", Text: "14 CFR 25.341(a), discrete gust design criteria", Kind: Published})
	FAR23Speed      = one(Source{Key: "14-cfr-23-51", Text: "14 CFR 23.51, take-off speeds", Year: 2003, Kind: Published})
	HoernerCables   = one(Source{Key: "hoerner-fluid-dynamic-drag", Text: "Hoerner, S. F., Fluid-dynamic drag, chapters on cables, banners and threads along the flow", Year: 1965, Kind: Published})
	UAVLauncher     = one(Source{Key: "uav-launcher-2024", Text: "multi-physics model of a UAV launcher against measured launch speed, Advances in Mechanical Engineering, doi 10.1177/16878132241303440", Year: 2024, Kind: Measured, Spread: "model against measured speed: 4.3 to 9.0 %"})
	BungeeSTR2013   = one(Source{Key: "novakovic-medar-2013", Text: "Novakovic, Z. and Medar, N., Analysis of a UAV bungee cord launching device, Scientific Technical Review 63(3), 41-47", Year: 2013, Kind: Published})
)
