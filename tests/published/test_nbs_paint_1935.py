"""US National Bureau of Standards, circular of 19 July 1935, and Technologic Paper 254 (1924): paint on radiators.

Changing aluminium or bronze paint for paint without metal raises output by 10 to 20 %; the paper's radiative model,
loss = f (1 - r), gives 0.125 for a quarter of the heat radiated and half of it kept.
"""

from wetside.emitter.ratings import METALLIC_PAINT, sections_rating


def test_repainting_gains_ten_to_twenty_percent() -> None:
    before = sections_rating(10, 100.0, metallic_paint=True)
    after = sections_rating(10, 100.0)
    assert 1.10 <= after.rated_w / before.rated_w <= 1.20


def test_loss_is_that_of_the_radiative_model() -> None:
    # f 0.25 of the output radiated; aluminium paint emits 0.4 to 0.5 of other paint
    assert 0.25 * (1 - 0.5) <= 1 - METALLIC_PAINT <= 0.25 * (1 - 0.4)
