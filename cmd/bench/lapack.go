//go:build lapack && cgo

package main

// #cgo LDFLAGS: -llapack
// void dgetrf_(int *m, int *n, double *a, int *lda, int *ipiv, int *info);
import "C"

import "fmt"

func init() {
	lapackLU = func(a []float64, n int) error {
		order, info := C.int(n), C.int(0)
		pivots := make([]C.int, n)
		C.dgetrf_(&order, &order, (*C.double)(&a[0]), &order, &pivots[0], &info)
		if info != 0 {
			return fmt.Errorf("dgetrf: info %d", info)
		}
		return nil
	}
}
