"""One boiler's card: sheet, visits, trends, owner; as a file; and a person's data erased."""

import streamlit as st

from engine.errors import SightportError
from engine.knowledge import Knowledge
from engine.records import Store, cards
from engine.records.erasing import erase_customer, erase_visits, held_of
from engine.records.store import now
from engine.screens.components import facts, held, trend
from engine.screens.components.dress import plain
from engine.visit import boilers
from engine.visit.exchange import boiler_as_json
from engine.visit.exchange import bring_in as brought_in
from engine.visit.overview import past
from engine.visit.retention import older_visits
from engine.visit.trends import trends

_SAID = "boiler_said"


def show(known: Knowledge, boiler: cards.Boiler) -> None:
    """Everything that is kept of a boiler."""
    store = held.store()
    st.title(plain(boiler.name))
    st.page_link(held.BOILERS_PAGE, label="Back to all boilers")
    if boiler.place:
        st.write(plain(boiler.place))
    if said := st.session_state.pop(_SAID, ""):
        st.success(plain(said))
    st.page_link(
        held.START_PAGE, label="Start a visit to it", query_params={"boiler": str(boiler.id)}
    )
    _trends(store, known, boiler)
    _visits(store, known, boiler)
    _sheet(store, known, boiler)
    _name_and_owner(store, boiler)
    with st.expander("Save it as a file"):
        st.write("The card with all its visits, for a colleague or an archive.")
        nameless = st.checkbox(
            "Leave out name, address and phone. Words typed into the visits stay.", key="nameless"
        )
        st.download_button(
            "Save the file", boiler_as_json(store, boiler.id, nameless),
            file_name=f"boiler-{boiler.id}.json", mime="application/json", key="boiler_file",
        )  # fmt: skip
    _erase(store, known, boiler)


def _trends(store, known, boiler) -> None:
    st.header("Over the years")
    found = trends(store, known, boiler.id)
    if not found:
        st.write("No reading is kept yet. Those of the visits to this boiler appear here.")
    else:
        st.caption("Open circle: as found. Filled: as left. Dashed: what it is held against.")
    for each in found:
        trend.show(each)


def _visits(store, known, boiler) -> None:
    st.header("Visits")
    visits = store.visits_to(boiler=boiler.id)
    if not visits:
        st.write("None yet.")
    for visit in visits:
        each = past(store, known, visit)
        label = f"{each.begun:%Y-%m-%d}, visit {each.id}. {each.stands}"
        if each.complaints:
            label += f": {', '.join(each.complaints)}"
        st.page_link(held.VISIT_PAGE, label=plain(label), query_params={"visit": str(visit.id)})


def _sheet(store, known, boiler) -> None:
    st.header("Its sheet")
    st.write("A figure kept here is entered in every visit that starts from this card.")
    lines = [
        f"- {plain(known.facts[name].name)}: "
        f"{plain((known.facts[name].choices or {}).get(typed, typed))}"
        for name, typed in boiler.sheet.items()
        if name in known.facts
    ]
    st.markdown("\n".join(lines) if lines else "Nothing is kept yet.")
    with st.expander("Enter or change a figure", key=f"sheet_{boiler.id}"):
        name = st.selectbox(
            "Which figure", tuple(known.facts), index=None, key="sheet_fact",
            format_func=lambda n: known.facts[n].name, placeholder="Type or choose",
        )  # fmt: skip
        if not name:
            return
        typed = boiler.sheet.get(name, "")
        value = facts.ask(known, name, f"sheet_{boiler.id}_{typed}", dict(boiler.sheet), typed)
        if st.button("Keep it", key="sheet_keep", type="primary"):
            try:
                boilers.keep_on_sheet(store, known, boiler.id, name, value)
            except SightportError as error:
                st.error(held.sentence(error))
            else:
                _done(f"Kept: {known.facts[name].name}.")


def _name_and_owner(store, boiler) -> None:
    with st.expander("Name, place and customer"):
        name = st.text_input("Name", boiler.name, key="card_name", max_chars=200)
        place = st.text_input("Place", boiler.place, key="card_place", max_chars=300)
        owner = _customer(store, boiler.customer)
        if st.button("Keep these", key="card_keep", type="primary"):
            try:
                boilers.keep_card(store, boiler.id, name, place, owner)
            except SightportError as error:
                st.error(held.sentence(error))
            else:
                _done("Kept.")


def _customer(store, number) -> dict[str, str]:
    """Fields of the customer, empty for none."""
    card = cards.customer(store, number) if number else None
    fields = (("name", "Customer", 200), ("address", "Address", 300), ("phone", "Phone", 60),
              ("mail", "Mail", 120))  # fmt: skip
    return {
        field: st.text_input(
            label, getattr(card, field) if card else "", key=f"owner_{field}", max_chars=most
        )
        for field, label, most in fields
    }


def _erase(store, known, boiler) -> None:
    with st.expander("Erase"):
        st.write("What is erased is gone for good. Save a file of it first if it may be needed.")
        years = st.number_input(
            "Ended visits that are older than so many years", 1, 50, 10, key="erase_years"
        )
        old = older_visits(store, known, boiler.id, years, now())
        st.write(f"{len(old)} of its visits are older." if old else "None of its visits is older.")
        if old and st.button(f"Erase these {len(old)} visits", key="erase_old"):
            erase_visits(store, old)
            _done(f"{len(old)} visits are erased.")
        if not boiler.customer:
            return
        kept = held_of(store, boiler.customer)
        st.write(
            f"**Of {plain(kept.customer.name)} is kept:** the card, {len(kept.boilers)} boilers, "
            f"{len(kept.visits)} visits, {kept.photos} photos."
        )
        sure = st.checkbox("Yes, erase all of that", key="erase_sure")
        if st.button("Erase this customer", key="erase_customer"):
            if not sure:
                st.error("Tick first that all of it is to be erased.")
                return
            erase_customer(store, boiler.customer)
            st.query_params.pop("boiler")
            st.session_state[_SAID] = "The customer is erased."
            st.rerun()


def write_new(store: Store) -> None:
    """A new card."""
    with st.expander("Write down a new boiler"):
        name = st.text_input(
            "Name", key="new_name", max_chars=200, placeholder="such as: Mill Lane 4, cellar"
        )
        place = st.text_input("Place", key="new_place", max_chars=300)
        if st.button("Keep it", key="new_keep", type="primary"):
            try:
                st.query_params["boiler"] = str(boilers.write_card(store, name, place))
            except SightportError as error:
                st.error(held.sentence(error))
            else:
                st.rerun()


def bring_in(store: Store) -> None:
    """Visits or a boiler from a file."""
    with st.expander("Bring in a file"):
        file = st.file_uploader("A file that was saved here or elsewhere", type="json")
        if file and st.button("Bring it in", key="bring_in", type="primary"):
            try:
                brought = brought_in(store, file.getvalue().decode("utf-8", "replace"))
            except SightportError as error:
                st.error(held.sentence(error))
                return
            st.success(f"Brought in: {len(brought.visits)} visits.")
            if brought.boiler is not None:
                st.page_link(
                    held.BOILERS_PAGE, label="Open the boiler's card",
                    query_params={"boiler": str(brought.boiler)},
                )  # fmt: skip


def _done(said: str) -> None:
    st.session_state[_SAID] = said
    st.rerun()
