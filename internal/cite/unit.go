package cite

// Sources of units and of the doubt of a reading.
var (
	SP811 = one(Source{Key: "nist-sp-811", Text: "Thompson and Taylor, Guide for the use of the International System of Units, NIST Special Publication 811", Year: 2008, Kind: Published, Where: "nist.gov, publications"})
)
