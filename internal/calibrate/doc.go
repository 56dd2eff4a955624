// Package calibrate learns, from the colours of test drops, how each dye of a
// shelf absorbs in one wax: its absorption spectrum.
//
// A camera sees three numbers a drop, but a ladder of doses shows the same
// absorption at several depths, and so tells how it is spread over the
// wavelengths. Absorption adds, dye by dye and band by band:
//
//	A(λ)   = A₀(λ) + Σ_d k_d(λ) (c_d / ref_d)^p_d
//	K/S(λ) = A (A / 0.3)^(q - 1)
//
// where c is the dose in g of dye per kg of undyed wax. The unknowns are, for
// the wax, log A₀(λ), the scattering thickness S·X of a drop, the gain of the
// light at the surface, and the bend q; for every dye d, log k_d(λ) at its
// reference dose and an exponent p_d.
//
// The bend is there because Kubelka and Munk's K/S is not proportional to the
// absorption of a real scattering layer (Star, Marijnissen and van Gemert 1988,
// Phys. Med. Biol. 33:437): in radiative transfer it grows about as A^1.15 over
// the doses of a ladder. Were it left to the exponents of the single dyes,
// mixtures would be wrong, since there the absorption adds before it is bent.
// The gain is there because light from a window does not fall in from all
// sides alike.
//
// A drop is a film of that K/S over its card (optics.Film), seen through the
// wax's surface (optics.Surface). The curves are cubic B-splines with a second-difference
// penalty (Eilers and Marx 1996, "Flexible smoothing with B-splines and
// penalties", Statist. Sci. 11:89).
//
// All drops of a wax are fitted together by maximum a posteriori, with a
// Student-t loss so that one mislabelled drop cannot wreck a dye (Lange,
// Little and Taylor 1989, J. Am. Stat. Assoc. 84:881). The weight of the
// smoothness and the size of what the model cannot explain are chosen by the
// evidence, in Laplace's approximation (MacKay 1992, Neural Comput. 4:415),
// not by hand. The same approximation gives the covariance that every
// predicted shade carries.
//
// The package is pure: the same drops give the same model.
package calibrate
