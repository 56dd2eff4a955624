package optics

import (
	"fmt"
	"math"
)

// LiquidLayer is a clear dyed liquid that lies on a diffusing card, lit at 45°
// and seen from straight above. Make one with LiquidLayerOf.
type LiquidLayer struct {
	passage float64 // share of light that gets in and out through the surface, over n²
	path    float64 // way in at 45° and way out straight, in layer thicknesses
	returns *returned
}

// LiquidLayerOf returns the layer of a liquid of the given refractive index n,
// 1.001..4, or 1 for a layer without a surface. Other values panic.
func LiquidLayerOf(refractiveIndex float64) LiquidLayer {
	n := checkedIndex(refractiveIndex)
	in := refractedCosine(n, math.Sqrt(0.5))
	return LiquidLayer{
		passage: (1 - fresnel(n, math.Sqrt(0.5))) * (1 - fresnel(n, 1)) / (n * n),
		path:    1/in + 1,
		returns: newReturned(n),
	}
}

// Reflectance returns the reflectance factor of the layer on its card:
//
//	R = (1 - f(45°)) (1 - f(0°)) / n² · Rc exp(-τ (1 + sec θ')) / (1 - Rc F(τ))
//	F(τ) = 2 ∫ f(θ) exp(-2τ sec θ) sin θ cos θ dθ,   θ from 0 to 90°
//
// where τ = opticalDepth, absorption coefficient (natural logarithm) times
// thickness, is 0 or more and may be +Inf; Rc = card in 0..1 is the diffuse
// reflectance of the card where the liquid meets it, and other values of either
// panic; f is Fresnel's reflectance,
// in F from within, where it is 1 beyond the critical angle; and
// sin θ' = sin 45° / n. F(τ) is the light that the liquid's surface returns to
// the card. At τ = 0 it is Surface.K2, and the result is Surface.Outside but
// for the light coming in at 45° and leaving straight instead of diffusely.
//
// It assumes an even layer, wide against its thickness, a card that stays
// diffusing when wet, and no scattering in the liquid.
//
// Source: Williams and Clapper 1953, "Multiple internal reflections in
// photographic color prints", J. Opt. Soc. Am. 43:595.
func (l LiquidLayer) Reflectance(opticalDepth, card float64) float64 {
	r, _ := l.ReflectanceWithSlope(opticalDepth, card)
	return r
}

// ReflectanceWithSlope returns Reflectance and its derivative with respect to
// the optical depth, 0 or below:
//
//	dR/dτ = -R (1 + sec θ' - Rc F'(τ) / (1 - Rc F(τ)))
//
// The slope is finite at τ = 0.
func (l LiquidLayer) ReflectanceWithSlope(opticalDepth, card float64) (r, slope float64) {
	check("an optical depth", opticalDepth, 0, math.Inf(1))
	check("a card's reflectance", card, 0, 1)
	back, backSlope := l.returns.at(opticalDepth)
	once := 1 - card*back
	r = l.passage * card * math.Exp(-opticalDepth*l.path) / once
	return r, -r * (l.path - card*backSlope/once)
}

// OpticalDepth returns the optical depth that gives the reflectance factor, the
// inverse of Reflectance in its first argument.
//
// It returns an error when no depth can: at 0 or below, or lighter than the
// undyed liquid on this card.
func (l LiquidLayer) OpticalDepth(reflectance, card float64) (float64, error) {
	if !(card > 0 && card <= 1) {
		return 0, fmt.Errorf("a card of reflectance %g cannot be; it lies above 0 and at most at 1", card)
	}
	undyed := l.Reflectance(0, card)
	switch {
	case !(reflectance > 0 && reflectance <= undyed):
		return 0, fmt.Errorf("no dye gives this liquid the reflectance %.4g; on this card it lies above 0 and at most at %.4g", reflectance, undyed)
	}
	// Light that the surface returns only adds to the loss of the direct way.
	deepest := (math.Log(undyed) - math.Log(reflectance)) / l.path
	return fallingRoot(reflectance, 0, deepest, 0, func(depth float64) (float64, float64) {
		return l.ReflectanceWithSlope(depth, card)
	}), nil
}
