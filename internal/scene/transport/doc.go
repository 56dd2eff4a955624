// Package transport computes how light passes through a slab that scatters and
// absorbs, with refraction at its surfaces: the radiative transfer equation,
// solved by adding and doubling.
//
// A slab far thinner than a free path is easy. Two slabs laid together answer
// as one whose reflection and transmission follow from theirs, so doubling a
// very thin slab some fifteen times gives any thickness; light that runs to and
// fro between the halves is summed exactly. Directions are a handful of cosines,
// with the azimuth averaged out, and scattering follows Henyey and Greenstein.
//
//	wax := transport.NewMedium(1.44, 0.6, 10)
//	drop := wax.Film(transport.Layer{ScatteringPerMM: 10, AbsorptionPerMM: 0.2, ThicknessMM: 2.7})
//	seen := drop.Factor(0.89)       // reflectance factor over a card of 0.89, lit at 45°, seen at 0°
//
// It knows nothing of Kubelka-Munk's two fluxes: that is its use here, as a
// second opinion on them. It leaves out polarisation, coherence, and light that
// travels sideways out of a drop: a slab is even and without end.
//
// Everything is deterministic, and a Medium may be used from many goroutines.
//
// Sources: van de Hulst 1980, "Multiple light scattering", Academic Press;
// Prahl, van Gemert and Welch 1993, "Determining the optical properties of
// turbid media by using the adding-doubling method", Appl. Opt. 32:559, for the
// quadrature and the surfaces; Wiscombe 1976, "On initialization, error and flux
// conservation in the doubling method", J. Quant. Spectrosc. Radiat. Transfer
// 16:637, and 1977, "The delta-M method", J. Atmos. Sci. 34:1408.
package transport
