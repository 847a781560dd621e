"""Somebody deletes themselves from their phone: it says where there is no signal, and the phone
forgets them as the server does.
"""

from .conftest import LAPTOP, expect, sign_in
from .test_promises import class_page, joined

KEPT_CLASSES = """() => new Promise((resolve) => {
  const asked = indexedDB.open("navclass");
  asked.onsuccess = () => {
    const all = asked.result.transaction("classes").objectStore("classes").getAll();
    all.onsuccess = () => resolve(all.result.map((one) => one.code));
  };
})"""


def close_class(page_of, field):
    desk = page_of(LAPTOP)
    sign_in(desk, field.address)
    desk.get_by_role("link", name="Thursday beginners").first.click()
    desk.get_by_role("link", name="Close the class").click()
    desk.get_by_role("button", name="Close the class").click()
    expect(desk.get_by_role("button", name="Open it again")).to_be_visible()


def wish_all(page):
    page.once("dialog", lambda dialog: dialog.accept())
    page.get_by_role("button", name="Delete my name and all my numbers").click()


def test_a_phone_and_the_server_forget_who_wishes_it(field, page_of):
    page = joined(page_of(), field, "Xanthe")
    page.get_by_role("link", name="Delete my name").click()
    wish_all(page)
    expect(page.get_by_text("are deleted when the class closes")).to_be_visible()
    page.get_by_role("button", name="Keep me after all").click()
    expect(page.get_by_role("button", name="Delete my name and all my numbers")).to_be_visible()
    close_class(page_of, field)

    page.context.set_offline(True)
    wish_all(page)
    expect(page.get_by_text("No connection: nothing was deleted.")).to_be_visible()
    page.context.set_offline(False)
    page.reload()
    assert page.evaluate(KEPT_CLASSES) == [field.code]
    wish_all(page)

    expect(page.get_by_role("heading", name="Deleted")).to_be_visible()
    page.wait_for_function(f"async () => !(await ({KEPT_CLASSES})()).length")
    page.goto(f"{class_page(field)}join/")  # its old code does not bring it back
    expect(page.get_by_label("Your name")).to_be_visible()
