// Package drop reads the colour of wax drops from how a drop makes a picture.
//
// Divided by the card's white under the same light, a small square of a drop's
// middle shows in each of X, Y and Z
//
//	y = body · thinner(r) · shade(t) + room(t) + lobe(t)
//
// where r is the distance from the drop's centre in radii, and t = slope · r the tilt
// of its surface there, as a vector (a drop is a cap: its tilt grows with the
// distance).
//
//   - body is what is wanted: the light that leaves the middle of the drop, out to 0.35
//     of its radius, without what its surface mirrors;
//   - thinner says how the body changes where the drop is thinner: towards the
//     white card, by a share of its own depth;
//   - shade is the light that falls on the tilted surface over that on the card;
//   - room is the mirrored light of what stands above: Fresnel reflection gives
//     3.25 % of it at normal incidence (n = 1.44), never nothing;
//   - lobe is the mirrored window or lamp: flat on top, and falling off as a power.
//
// The drops of a photograph are mirror balls that all see one room, so that shade,
// room and lobe are the same function of the tilt for all, and dark drops show what is
// mirrored in the pale ones too. All is fitted together by robust least squares: a
// bit of flower, a bubble or a shadow is a square that no wax explains.
//
// What one photograph cannot tell is how much the room mirrors evenly: light that is
// the same at every tilt is paler wax as well. It comes from the kind of room, which
// the picture does tell (see rooms), and its doubt is an error that all drops of the
// photograph share.
//
// The form and its figures were settled on path-traced drops; package scene shares no
// code with it.
package drop
