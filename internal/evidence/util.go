package evidence

import "fledge/internal/geo"

func geoPoint(lat, lon, h float64) geo.Point { return geo.Point{Lat: lat, Lon: lon, Height: h} }
