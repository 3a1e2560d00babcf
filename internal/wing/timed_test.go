package wing

import "time"

func timed(f func()) float64 {
	t := time.Now()
	f()
	return time.Since(t).Seconds()
}
