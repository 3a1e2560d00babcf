package cite

// Sources on paper and plastic.
var (
	ISO216   = one(Source{Key: "iso-216", Text: "ISO 216, writing paper and certain classes of printed matter, trimmed sizes, A and B series", Year: 2007, Kind: Published})
	ANSIY141 = one(Source{Key: "ansi-y14-1", Text: "ANSI/ASME Y14.1, drawing sheet size and format: size A, 8.5 by 11 inches", Year: 1995, Kind: Published})
	ISO18004 = one(Source{Key: "iso-iec-18004", Text: "ISO/IEC 18004, QR code bar code symbology specification: numbers of modules and data capacity by version and error correction level", Year: 2015, Kind: Published})
	Core3MF  = one(Source{Key: "3mf-core", Text: "3MF Core Specification: units, package parts, manifold meshes that face outwards", Year: 2015, Kind: Published})
)
