package unit

// Dims lists every dimension that a value may have.
func Dims() []Dim {
	out := make([]Dim, 0, int(dims)-1)
	for d := None + 1; d < dims; d++ {
		out = append(out, d)
	}
	return out
}
