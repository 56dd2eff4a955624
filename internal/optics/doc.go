// Package optics says how dyed wax turns light back: set wax, a white turbid
// film that absorbs and scatters, and liquid wax, a clear dyed layer on card.
//
// Set wax. Inside the wax, Kubelka and Munk's two fluxes (1931, 1948) give the
// reflectance of an opaque layer from one number a band, K/S, the absorption
// over the scattering; a film that lets its backing show needs one more, S·X,
// the scattering of its whole thickness:
//
//	thick := optics.ReflectanceOfKS(0.2)       // opaque: 0.537
//	drop := optics.Film(0.2, 3, 0.9)           // a thin drop on white card: lighter, 0.546
//
// Dye adds absorption, pigment adds absorption and scattering, band by band
// (Duncan 1940); package calibrate learns how much.
//
// Surface. The eye is outside. Part of the light never enters, and much of
// what is on its way out is thrown back in; Surface (Saunderson 1942) turns
// the reflectance inside the wax into the reflectance factor seen, and back:
//
//	wax := optics.SurfaceOf(1.44)
//	seen := wax.Outside(drop)
//
// Liquid wax scatters nothing. LiquidLayer (Williams and Clapper 1953) follows
// the light through it to the card, back up, and as often round again as the
// liquid's surface returns it.
//
// Everything is a pure function of one band. Reflectances run from 0 to 1; K/S
// and S·X are 0 or more and may be +Inf. Within these ranges no result is NaN.
// Values outside them, and NaN, panic.
package optics
