package cite

// Sources of section shapes, viscous sections and measured polars.
var (
	NACATR460  = one(Source{Key: "naca-tr-460", Text: "E. N. Jacobs, K. E. Ward, R. M. Pinkerton, The Characteristics of 78 Related Airfoil Sections from Tests in the Variable-Density Wind Tunnel, NACA TR-460", Year: 1933, Kind: Published})
	NACATR537  = one(Source{Key: "naca-tr-537", Text: "E. N. Jacobs, R. M. Pinkerton, Tests in the Variable-Density Wind Tunnel of Related Airfoils Having the Maximum Camber Unusually Far Forward, NACA TR-537", Year: 1935, Kind: Published})
	NACATR824  = one(Source{Key: "naca-tr-824", Text: "I. H. Abbott, A. E. von Doenhoff, L. S. Stivers, Summary of Airfoil Data, NACA TR-824", Year: 1945, Kind: Measured})
	NACATR586  = one(Source{Key: "naca-tr-586", Text: "E. N. Jacobs, A. Sherman, Airfoil Section Characteristics as Affected by Variations of the Reynolds Number, NACA TR-586", Year: 1937, Kind: Measured})
	NASATM4074 = one(Source{Key: "nasa-tm-4074", Text: "C. L. Ladson, Effects of Independent Variation of Mach and Reynolds Numbers on the Low-Speed Aerodynamic Characteristics of the NACA 0012 Airfoil Section, NASA TM 4074", Year: 1988, Kind: Measured})
	RM3726     = one(Source{Key: "arc-rm-3726", Text: "N. Gregory, C. L. O'Reilly, Low-Speed Aerodynamic Characteristics of NACA 0012 Aerofoil Section, ARC R&M 3726", Year: 1970, Kind: Measured})
	LSATVol1   = one(Source{Key: "lsat-1", Text: "M. S. Selig, J. J. Guglielmo, A. P. Broeren, P. Giguère, Summary of Low-Speed Airfoil Data, vol. 1", Year: 1995, Kind: Measured, Spread: "drag 3 % at Re 200,000 and up; 20 to 50 % along the span at 60,000"})
	LSATVol3   = one(Source{Key: "lsat-3", Text: "C. A. Lyon, A. P. Broeren, P. Giguère, A. Gopalarathnam, M. S. Selig, Summary of Low-Speed Airfoil Data, vol. 3", Year: 1998, Kind: Measured, Spread: "drag 3 % at Re 200,000 and up; 20 to 50 % along the span at 60,000"})
	SAND802114 = one(Source{Key: "sand80-2114", Text: "R. E. Sheldahl, P. C. Klimas, Aerodynamic Characteristics of Seven Symmetrical Airfoil Sections Through 180-Degree Angle of Attack, SAND80-2114", Year: 1981, Kind: Measured})

	GlauertElements      = one(Source{Key: "glauert-elements", Text: "H. Glauert, The Elements of Aerofoil and Airscrew Theory, ch. VII", Year: 1926, Kind: Published})
	SectionFlap          = one(Source{Key: "section-arc-rm-1095", Text: "H. Glauert, Theoretical Relationships for an Aerofoil with Hinged Flap, ARC R&M 1095", Year: 1927, Kind: Published})
	AndersonFundamentals = one(Source{Key: "anderson-fundamentals", Text: "J. D. Anderson, Fundamentals of Aerodynamics", Kind: Published})
	JoukowskiMapping     = one(Source{Key: "karman-trefftz", Text: "Th. von Kármán, E. Trefftz, Potentialströmung um gegebene Tragflächenquerschnitte, Z. Flugtechnik 9 (and N. Joukowski's mapping)", Year: 1918, Kind: Published})
	SchlichtingLayer     = one(Source{Key: "schlichting", Text: "H. Schlichting, Boundary-Layer Theory", Kind: Published})
	HoernerDrag          = one(Source{Key: "hoerner-drag", Text: "S. F. Hoerner, Fluid-Dynamic Drag", Year: 1965, Kind: Published})
	TorenbeekSynthesis   = one(Source{Key: "torenbeek", Text: "E. Torenbeek, Synthesis of Subsonic Airplane Design", Year: 1982, Kind: Published})
	DrelaGiles1987       = one(Source{Key: "drela-giles-1987", Text: "M. Drela, M. B. Giles, Viscous-Inviscid Analysis of Transonic and Low Reynolds Number Airfoils, AIAA J. 25(10)", Year: 1987, Kind: Published})
	Drela1989            = one(Source{Key: "drela-1989", Text: "M. Drela, low-Reynolds-number airfoil analysis by a viscous-inviscid panel formulation, Lecture Notes in Engineering 54", Year: 1989, Kind: Published})
	DrelaFVA             = one(Source{Key: "drela-fva", Text: "M. Drela, Flight Vehicle Aerodynamics, ch. 4", Year: 2014, Kind: Published})
	Swafford1983         = one(Source{Key: "swafford-1983", Text: "T. W. Swafford, Analytical Approximation of Two-Dimensional Separated Turbulent Boundary-Layer Velocity Profiles, AIAA J. 21(6)", Year: 1983, Kind: Published})
	GreenLag             = one(Source{Key: "green-lag", Text: "J. E. Green, D. J. Weeks, J. W. F. Brooman, Prediction of Turbulent Boundary Layers and Wakes in Compressible Flow by a Lag-Entrainment Method, ARC R&M 3791", Year: 1973, Kind: Published})
	SquireYoung          = one(Source{Key: "squire-young", Text: "H. B. Squire, A. D. Young, The Calculation of the Profile Drag of Aerofoils, ARC R&M 1838", Year: 1938, Kind: Published})
	Mack1977             = one(Source{Key: "mack-1977", Text: "L. M. Mack, Transition Prediction and Linear Stability Theory, AGARD CP-224", Year: 1977, Kind: Published})
	Howarth1938          = one(Source{Key: "howarth-1938", Text: "L. Howarth, On the Solution of the Laminar Boundary Layer Equations, Proc. R. Soc. A 164", Year: 1938, Kind: Published})
	FalknerSkan          = one(Source{Key: "falkner-skan", Text: "V. M. Falkner, S. W. Skan, Solutions of the Boundary-Layer Equations, Phil. Mag. 12; D. R. Hartree's solutions", Year: 1931, Kind: Published})
	Radespiel2007        = one(Source{Key: "radespiel-2007", Text: "R. Radespiel, J. Windte, U. Scholz, Numerical and Experimental Flow Analysis of Moving Airfoils with Laminar Separation Bubbles, AIAA J. 45(6)", Year: 2007, Kind: Measured})
	VanIngen2008         = one(Source{Key: "van-ingen-2008", Text: "J. L. van Ingen, The e^N Method for Transition Prediction: Historical Review of Work at TU Delft, AIAA 2008-3830", Year: 2008, Kind: Published})
	SectionPlateLift     = one(Source{Key: "section-lindenburg-2003", Text: "C. Lindenburg, Investigation into Rotor Blade Aerodynamics, ECN-C--03-025", Year: 2003, Kind: Published})
	SectionPostStall     = one(Source{Key: "section-viterna-1982", Text: "L. A. Viterna, R. D. Corrigan, Fixed Pitch Rotor Performance of Large Horizontal Axis Wind Turbines, NASA Lewis workshop", Year: 1982, Kind: Published})
)

// LockWilliams is the source of the wake curvature effect.
var LockWilliams = one(Source{Key: "lock-williams-1987", Text: "R. C. Lock, B. R. Williams, Viscous-Inviscid Interactions in External Aerodynamics, Prog. Aerosp. Sci. 24", Year: 1987, Kind: Published})
