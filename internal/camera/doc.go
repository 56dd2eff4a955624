// Package camera learns what a camera did to colours, and undoes it.
//
// A camera bends the lightness of a picture to please the eye, and its three
// channels see the spectrum with other weights than the eye does. Patches of known
// colour in the picture show both: what they were read as, beside what they are.
//
//   - A Sample is one such patch.
//   - A Fit finds the Corrector that takes the samples to their colours: nothing, a
//     tone curve, a tone curve and a 3 x 3 mixing of the channels, or one with root
//     terms besides. A richer form is taken only when it foretells samples that were
//     held out of the fit better.
//   - Fitted says how good it is.
//
// White stays what it is in every form: the light on the card is known better than
// any patch.
//
// Limits: three channels cannot tell apart dyes that look alike to them, and a camera
// that changes colours by place or by hue is not of these forms; both show in
// Fitted.HeldOutDE00.
package camera
