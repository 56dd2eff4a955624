// Package calibrate learns, from the colours of test drops, how each dye of a
// shelf absorbs in one wax: its absorption spectrum.
//
// A camera sees three numbers a drop, but a ladder of doses shows the same
// absorption at several depths, and so tells how it is spread over the
// wavelengths. Absorption adds, dye by dye and band by band:
//
//	A(λ)   = A₀(λ) + Σ_d k_d(λ) (c_d / ref_d)^p_d
//	K/S(λ) = A (A / 0.3)^ε ((1 + A) / 1.3)^(β - ε),   ε = 0.065
//
// where c is the dose in g of dye per kg of undyed wax. The unknowns are, for
// the wax, log A₀(λ), the scattering thickness S·X of a drop and the slope h with
// which it falls over the wavelengths, the gain of the light at the surface, and
// the bend β; for every dye d, log k_d(λ) at its reference dose and an exponent
// p_d. What no drop touches is no unknown:
//
//   - Pigments and micas also scatter, s_d(λ) (c_d / ref_d)^p_d over the wax's
//     own; then K/S is that of A/σ and S·X is multiplied by σ, with σ one plus
//     all that is added (two constants: Duncan 1940, Proc. Phys. Soc. 52:390).
//   - Liquid drops are clear: their optical depth is a scale times A, each part
//     of it times a ratio of its own between liquid and set.
//   - Lots of one dye have curves that differ a little, most of all in strength.
//   - Of several cards, each has drops a little thicker or thinner than usual.
//   - A drop whose thickness is told, by its mass and diameter, has S·X in proportion
//     to it, times an unknown near 1 for the error of what is told.
//
// The bend is there because Kubelka and Munk's K/S is not proportional to the
// absorption of a real scattering layer (Star, Marijnissen and van Gemert 1988,
// Phys. Med. Biol. 33:437): in radiative transfer it grows as A^1.065 where wax is
// pale and about as A^1.25 where it is dark (bending). Were it left to the exponents
// of the single dyes, or to one exponent for all absorptions, mixtures would be wrong,
// since there the absorption adds before it is bent.
// The gain is there because light from a window does not fall in from all
// sides alike.
//
// A set drop is a film of that K/S over its card, or over the black bar
// (optics.Film), a liquid one a clear layer (optics.LiquidLayer), seen through the
// wax's surface (optics.Surface). The curves are cubic B-splines with a
// second-difference penalty (Eilers and Marx 1996, "Flexible smoothing with
// B-splines and penalties", Statist. Sci. 11:89).
//
// All drops of a wax are fitted together by maximum a posteriori, with a
// Student-t loss so that one mislabelled drop cannot wreck a dye (Lange,
// Little and Taylor 1989, J. Am. Stat. Assoc. 84:881). The weight of the
// smoothness and the size of what the model cannot explain are chosen by the
// evidence, in Laplace's approximation (MacKay 1992, Neural Comput. 4:415),
// not by hand. The same approximation gives the covariance that every
// predicted shade carries.
//
// A drop touches the wax, its card and its own few dyes, so the equations of a
// step are mostly empty. They are solved block by block, dyes before the wax
// (eliminate), which makes the work grow with the dyes and not with their cube. The
// steps are Gauss and Newton's until the optimum is near, then Newton's own (bow).
//
// Four things in it are not the fit's own word but were chosen so that 95 %
// intervals cover, in scenes of radiative transfer: how much sharper a curve may
// bend than the evidence says (kinks), how much a drop that fits is trusted (mostTrust),
// how far the film's theory is believed from thin to thick (thickDoubt), and what drops
// tell of hiding (hidingDoubt). Learn drops over the black bar, a thick piece, or drops of clearly different
// thickness with their masses, and the last two matter less.
//
// What was learned then answers more than shades: how a measured drop changes
// what is known of a batch (Sight), what a new lot differs by (Lot),
// which drop is worth making next (NextDrops), whether labels were swapped
// (Swaps), whether a dye is what it was said to be (FormDoubts). Explore keeps
// draws of the posterior, for doses far from those tested.
//
// The package is pure: the same drops give the same model.
package calibrate
