package app

import "context"

// Radio says that the radio room is not built yet.
func Radio(_ context.Context, q Request) (*Answer, error) {
	if _, err := Open(q); err != nil {
		return nil, err
	}
	return nil, Bad("not-built", "range-test on the ground by the maker's procedure before you fly", "the radio room is not built yet: Fledge computes no link margin, and shows no number it has not computed")
}
