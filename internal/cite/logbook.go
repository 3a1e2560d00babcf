package cite

// Sources on glued joints, scars and scored forecasts.
var (
	ShigleyLap = one(Source{Key: "shigley-lap", Text: "R. G. Budynas and J. K. Nisbett, Shigley's Mechanical Engineering Design, stresses of a double lap joint", Kind: Published})
	Volkersen  = one(Source{Key: "volkersen-1938", Text: "O. Volkersen, Die Nietkraftverteilung in zugbeanspruchten Nietverbindungen, Luftfahrtforschung 15", Year: 1938, Kind: Published})
	GolandLap  = one(Source{Key: "goland-reissner-1944", Text: "M. Goland and E. Reissner, The stresses in cemented joints, J. Applied Mechanics 11", Year: 1944, Kind: Published})
	Bulletin   = one(Source{Key: "usda-tb-1069", Text: "A. D. Freas and M. L. Selbo, Fabrication and design of glued laminated wood structural members, USDA Technical Bulletin 1069, joint factors of plain scarfs", Year: 1954, Kind: Published})
	AC4313Wood = one(Source{Key: "ac-43-13-1b-wood", Text: "FAA AC 43.13-1B, chapter 1, splices of wood: slope of scarfs", Year: 1998, Kind: Published})
	HartSmith  = one(Source{Key: "nasa-cr-112235", Text: "L. J. Hart-Smith, Adhesive-bonded double-lap joints, NASA CR-112235; single lap CR-112236, scarf CR-112237", Year: 1973, Kind: Published})
	FAR23Proof = one(Source{Key: "14-cfr-23-305", Text: "14 CFR 23.305, strength and deformation: limit load without detrimental permanent deformation", Kind: Published})
	HoernerSur = one(Source{Key: "hoerner-surface", Text: "S. F. Hoerner, Fluid-Dynamic Drag, chapter 5, surface irregularities in the boundary layer", Year: 1965, Kind: Measured})
	PlateFlow  = SchlichtingPlate
	Brier      = one(Source{Key: "brier-1950", Text: "G. W. Brier, Verification of forecasts expressed in terms of probability, Monthly Weather Review 78", Year: 1950, Kind: Published})
	Murphy     = one(Source{Key: "murphy-1973", Text: "A. H. Murphy, A new vector partition of the probability score, J. Applied Meteorology 12", Year: 1973, Kind: Published})
	Stephenson = one(Source{Key: "stephenson-2008", Text: "D. B. Stephenson, C. A. S. Coelho and I. T. Jolliffe, Two extra components in the Brier score decomposition, Weather and Forecasting 23", Year: 2008, Kind: Published})
	Spiegel    = one(Source{Key: "spiegelhalter-1986", Text: "D. J. Spiegelhalter, Probabilistic prediction in patient management and clinical trials, Statistics in Medicine 5", Year: 1986, Kind: Published})
)
