package section_test

import (
	"fmt"
	"math"

	"fledge/internal/section"
)

// The published result of thin-airfoil theory for the NACA 23012: zero lift
// at -1.09 degrees, moment -0.0127.
func ExampleParse() {
	s, err := section.Parse("NACA 23012")
	if err != nil {
		fmt.Println(err)
		return
	}
	thin := s.Thin()
	fmt.Printf("%s: zero lift at %.2f degrees, moment %.4f\n", s.Name(), thin.AlphaL0*180/math.Pi, thin.Cm0)
	// Output: NACA 23012: zero lift at -1.09 degrees, moment -0.0128
}
