package main

import "setshade/internal/scene"

// dyes are the absorption spectra of Harrow Lane Wax's dyes, all invented: a
// main band, a shoulder, the near ultraviolet, and a weak broad tail that keeps
// shades soft.
var dyes = []scene.Dye{
	{Name: "Bracken", LiquidRatio: 1.04, PerMM: scene.Absorption(
		scene.Band{PeakNM: 455, WidthNM: 120, PerMM: 1.65},
		scene.Band{PeakNM: 390, WidthNM: 90, PerMM: 1.2},
		scene.Band{PeakNM: 520, WidthNM: 110, PerMM: 0.66},
		scene.Band{PeakNM: 580, WidthNM: 300, PerMM: 0.225})},
	{Name: "Foxglove", LiquidRatio: 0.97, PerMM: scene.Absorption(
		scene.Band{PeakNM: 545, WidthNM: 85, PerMM: 2.16},
		scene.Band{PeakNM: 510, WidthNM: 80, PerMM: 1.35},
		scene.Band{PeakNM: 385, WidthNM: 80, PerMM: 0.9},
		scene.Band{PeakNM: 560, WidthNM: 350, PerMM: 0.3})},
	{Name: "Marigold Lane", LiquidRatio: 0.90, PerMM: scene.Absorption(
		scene.Band{PeakNM: 435, WidthNM: 90, PerMM: 0.72},
		scene.Band{PeakNM: 470, WidthNM: 75, PerMM: 0.51},
		scene.Band{PeakNM: 380, WidthNM: 80, PerMM: 0.45},
		scene.Band{PeakNM: 560, WidthNM: 320, PerMM: 0.054})},
	{Name: "Slate Hill", LiquidRatio: 1.00, PerMM: scene.Absorption(
		scene.Band{PeakNM: 600, WidthNM: 160, PerMM: 2.25},
		scene.Band{PeakNM: 520, WidthNM: 140, PerMM: 1.44},
		scene.Band{PeakNM: 430, WidthNM: 130, PerMM: 1.26},
		scene.Band{PeakNM: 660, WidthNM: 100, PerMM: 1.26})},
	{Name: "Sorrel", LiquidRatio: 1.07, PerMM: scene.Absorption(
		scene.Band{PeakNM: 645, WidthNM: 120, PerMM: 1.26},
		scene.Band{PeakNM: 605, WidthNM: 90, PerMM: 0.48},
		scene.Band{PeakNM: 430, WidthNM: 95, PerMM: 1.5},
		scene.Band{PeakNM: 390, WidthNM: 80, PerMM: 0.9},
		scene.Band{PeakNM: 540, WidthNM: 320, PerMM: 0.3})},
	{Name: "Tidewater", LiquidRatio: 0.93, PerMM: scene.Absorption(
		scene.Band{PeakNM: 625, WidthNM: 130, PerMM: 1.2},
		scene.Band{PeakNM: 585, WidthNM: 90, PerMM: 0.48},
		scene.Band{PeakNM: 390, WidthNM: 80, PerMM: 0.42},
		scene.Band{PeakNM: 520, WidthNM: 320, PerMM: 0.255})},
}
