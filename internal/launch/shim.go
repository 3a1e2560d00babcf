package launch

import "gonum.org/v1/gonum/spatial/r3"

type aeroFlow struct {
	V, Alpha, Beta, P, Q, R, Pitch, Roll, Yaw, Brake, Height, Rho, Mu float64
}
type aeroLoads struct {
	F, M r3.Vec
	Flag uint16
}
type aeroFactors struct {
	Drag, Lift, ClMax, Damping, Control float64
	Cm0, CL0, NP                        float64
	DragArea                            float64
}

func aeroNeutral() aeroFactors {
	return aeroFactors{Drag: 1, Lift: 1, ClMax: 1, Damping: 1, Control: 1}
}
