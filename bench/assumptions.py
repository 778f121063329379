"""The assumptions of localisation, each table halved and doubled, for ``localise.py``."""

from __future__ import annotations

from collections.abc import Iterator

from plessor.lexicon.odds import Numbers, Odds


def changed(odds: Odds) -> Iterator[tuple[str, float, Odds]]:
    """The numbers with one table of assumptions halved or doubled, as odds where a chance."""
    for factor in (0.5, 2.0):
        for name in type(odds).model_fields:
            table = getattr(odds, name)
            if isinstance(table, Numbers) and table.source_kind == "assumption":
                values = {k: _times(v, factor, name) for k, v in table.values.items()}
                yield (
                    name,
                    factor,
                    odds.model_copy(update={name: table.model_copy(update={"values": values})}),
                )
        rates = tuple(
            r.model_copy(update={"down": _odds(r.down, factor), "up": _odds(r.up, factor)})
            if r.source_kind == "assumption"
            else r
            for r in odds.rate
        )
        yield "rate", factor, odds.model_copy(update={"rate": rates})
        signs = tuple(s.model_copy(update={"chance": _odds(s.chance, factor)}) for s in odds.sign)
        yield "sign", factor, odds.model_copy(update={"sign": signs})
        yield (
            "form (all losses)",
            factor,
            odds.model_copy(update={"form": tuple(_form(f, factor) for f in odds.form)}),
        )
        shares = tuple(c.model_copy(update={"share": c.share * factor}) for c in odds.constitution)
        yield "constitution", factor, odds.model_copy(update={"constitution": shares})


def _form(form, factor: float):
    def loss(of):
        maps = {
            name: {k: _odds(v, factor) for k, v in value.items()}
            for name, value in of
            if isinstance(value, dict) and name != "signs"
        }
        return of.model_copy(update=maps)

    tracts = {k: v if k == "reach" else _odds(v, factor) for k, v in form.tracts.items()}
    update = {"both": loss(form.both), "here": loss(form.here), "there": loss(form.there)}
    return form.model_copy(update={**update, "tracts": tracts})


def _times(value: float, factor: float, table: str) -> float:
    # Ratios, exponents and distances are halved and doubled as they are, but an exponent stays
    # at 1 at most.
    if table in ("prior", "common"):
        return value**factor if table == "prior" else value * factor if value != 1 else value
    if table == "weight":
        return min(1.0, value * factor)
    return _odds(value, factor) if value < 1 else max(1.0, value * factor)


def _odds(chance: float, factor: float) -> float:
    if not 0 < chance < 1:
        return chance
    odds = chance / (1 - chance) * factor
    return odds / (1 + odds)
