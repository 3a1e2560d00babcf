package track

import "time"

// RolledOn is the date a receiver should have shown whose ten-bit week count
// is one round (1024 weeks) behind.
func RolledOn(shown time.Time) time.Time { return shown.Add(rollover * time.Second) }
