package cite

// Sources of how models are judged.
var NASASTD7009 = one(Source{Key: "nasa-std-7009", Text: "NASA-STD-7009, Standard for Models and Simulations", Year: 2008, Kind: Published})
