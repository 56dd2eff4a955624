package page

import (
	"image"

	"setshade/internal/plan"
	"setshade/internal/workshop"
)

// draft is a photograph that was looked at and is not recorded yet.
type draft struct {
	id    string
	name  string
	photo []byte
	sight workshop.Sight
	// chart lies beside the card.
	chart workshop.Chart
	// sameAs is the SHA-256 of a photograph of the same card, "" for another card.
	sameAs string
	// plan is what was said so far of the card.
	plan plan.Plan
	// overlay is the picture of what was seen where, as JPEG, and size its pixels;
	// nil without one.
	overlay []byte
	size    image.Point
	// refusal is why the photograph cannot be read, nil when it can.
	refusal error
}

// mostDrafts bounds memory: the oldest makes room.
const mostDrafts = 6
