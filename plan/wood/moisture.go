package wood

// EquilibriumPct gives the moisture content, in percent of the dry weight, that
// wood comes to in air of that temperature in °C and relative humidity in
// percent. Humidity is taken within 0 to 99. Valid about −1 to 54 °C; it
// reproduces GTR-282 Table 4-2 within 0.1 point.
//
// Hailwood-Horrobin, GTR-282 Eq 4-5; °C coefficients as published with RN-0268.
func EquilibriumPct(tempC, humidityPct float64) float64 {
	t := tempC
	return hailwoodHorrobin(humidityPct,
		349+1.29*t+0.0135*t*t,
		0.805+0.000736*t-0.00000273*t*t,
		6.27-0.00938*t-0.000303*t*t,
		1.91+0.0407*t-0.000293*t*t)
}

// EquilibriumPctF is EquilibriumPct with the temperature in °F and the Handbook's
// own °F coefficients (from memory, checked against Table 4-2).
func EquilibriumPctF(tempF, humidityPct float64) float64 {
	t := tempF
	return hailwoodHorrobin(humidityPct,
		330+0.452*t+0.00415*t*t,
		0.791+0.000463*t-0.000000844*t*t,
		6.34+0.000775*t-0.0000935*t*t,
		1.09+0.0284*t-0.0000904*t*t)
}

func hailwoodHorrobin(humidityPct, w, k, k1, k2 float64) float64 {
	h := min(max(humidityPct, 0), 99) / 100
	kh := k * h
	return 1800 / w * (kh/(1-kh) + (k1*kh+2*k1*k2*kh*kh)/(1+k1*kh+k1*k2*kh*kh))
}
