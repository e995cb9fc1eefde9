"""Words by which a header of a meter table is recognised, in several languages."""

from __future__ import annotations

import re
import unicodedata


def word_set(text: str) -> frozenset[str]:
    """Return the words of a text as a set.

    Parameters
    ----------
    text
        Words with blanks between.

    Returns
    -------
    frozenset of str
        Words.
    """
    return frozenset(text.split())


START = word_set(
    "start starting begin beginning from von ab beginn debut inicio desde inizio van fra"
)
END = word_set("end ending ends to bis ende fin hasta fine tot eind til slut stop")
HOUR = word_set("hour hours he stunde heure hora ora uur time period")
TIME = word_set(
    "date time datetime timestamp interval datum uhrzeit zeit zeitpunkt zeitstempel fecha hora "
    "heure horodate horodatage data ora dato tid tidspunkt tijd pvm aika hour day tag jour"
)
USE = word_set(
    "usage use used consumption energy value quantity reading load import imported delivered "
    "verbrauch wert messwert energie bezug consumo energia valor valore consommation valeur "
    "forbrug forbruk vaerdi verdi verbruik waarde kulutus forbrukning varde"
)
EXPORT = word_set(
    "export exported exports received returned surplus einspeisung rucklieferung injection "
    "vertido excedente teruglevering immissione"
)
IMPORT = word_set("import imported delivered consumption usage bezug consumo soutirage")
NET = word_set("net netto neto nette")
OWN_PRODUCTION = word_set(
    "generation generated production produced solar pv erzeugung produktion generacion"
)
MONEY = word_set(
    "cost costs amount price charge charges kosten preis betrag prix cout precio coste importe "
    "costo prezzo usd eur cad gbp"
)
OTHER_QUANTITY = word_set("temperature temp volt voltage kva kvar kvarh multiplier factor amps amp")
IDENTITY = word_set(
    "meter account konto nummer number customer name address id esid zahlernummer premise"
)
QUALITY = word_set("quality status estimated estimation flag qualitat qualite estado statut notes")
UNIT = word_set("unit units uom einheit unite unidad unita eenheid enhet enhed")
FLOW = word_set("direction flow channel type richtung sentido sens")
_MONEY = re.compile("[$€£¥]")


def words_of(cell: str) -> frozenset[str]:
    """Return the words of a header cell, in small letters and without accents.

    Parameters
    ----------
    cell
        Text.

    Returns
    -------
    frozenset of str
        Words; a currency sign counts as "cost".

    Examples
    --------
    >>> sorted(words_of("Énergie_consommée (kWh)"))
    ['consommee', 'energie', 'kwh']
    """
    plain = "".join(
        letter
        for letter in unicodedata.normalize("NFKD", cell.lower())
        if not unicodedata.combining(letter)
    )
    words = frozenset(re.findall(r"[^\W_]+", plain))
    return words | {"cost"} if _MONEY.search(cell) else words


def is_time_word(cell: str) -> bool:
    """Return whether a header cell speaks of time.

    Parameters
    ----------
    cell
        Text.

    Returns
    -------
    bool
        True for "Date", "Interval start", "Uhrzeit" and the like.
    """
    return bool(words_of(cell) & (TIME | START | END))
