"""Reading and using a page as a person would: by what is written on it."""


def shown(app) -> str:
    """Everything written on the page, one text below the other."""
    kinds = ("title", "header", "subheader", "markdown", "caption", "info", "warning", "error")
    texts = [getattr(e, "value", "") for e in app.main if getattr(e, "type", "") in kinds]
    return "\n".join(unescaped(text) for text in texts if isinstance(text, str))


def unescaped(text: str) -> str:
    """Text as the reader sees it, without the marks that keep it literal."""
    for sign in "\\`*_[]#$~|:":
        text = text.replace(f"\\{sign}", sign)
    return text


def unfold(app, drawer):
    """The page with a drawer open, by its label."""
    part = next(part for part in app.expander if part.label == drawer)
    app.session_state[part.proto.id.split("-", 2)[2]] = True  # the key ends the id
    return app.run()


def take(app, knowledge, check):
    """Put a check on the screen from the drawer of other steps."""
    unfold(app, "Other steps")
    button = [b for b in app.button if (b.key or "").startswith(f"take_check_{check}_")]
    if button:
        return button[0].click().run()
    box = app.selectbox(key="any_other")
    name = knowledge.checks[check].name
    label = next((option for option in box.options if option.startswith(name)), None)
    if label is None:  # it is the advised step already
        assert app.header[0].value == name
        return app
    box.select(label).run()
    return app.button(key="show_other").click().run()


def field(app, name):
    """The text field of a reading's value, by the name of the value."""
    return next(box for box in app.text_input if box.label.startswith(name))


def press(app, label):
    """Press the first button with a label."""
    return next(b for b in app.button if b.label == label).click().run()
