"""Addresses of signing in, of a person's account, and of the owner's sign-in rules."""

from django.urls import URLPattern, path

from config.accounts import (
    account_views,
    email_views,
    owner_views,
    password_views,
    people_views,
    set_up_views,
    sign_in_views,
    two_step_views,
)

urlpatterns: list[URLPattern] = [
    path("sign-in", sign_in_views.sign_in_page, name="sign-in"),
    path("sign-in/code", sign_in_views.sign_in_code_page, name="sign-in-code"),
    path("set-up/<str:token>/", set_up_views.set_up, name="set-up"),
    path("sign-out", sign_in_views.sign_out, name="sign-out"),
    path("password/", password_views.password_forgotten, name="password-forgotten"),
    path("password/asked", password_views.password_asked, name="password-asked"),
    path("password/<slug:uidb64>/<slug:token>/", password_views.password_set_view, name="password-set"),
    path("invitation/<slug:uidb64>/<str:token>/", password_views.invitation_view, name="invitation"),
    path("email/<slug:uidb64>/<slug:token>/", email_views.email_confirm_page, name="email-confirm"),
    path("account/", account_views.account, name="account"),
    path("account/email", email_views.account_email, name="account-email"),
    path("account/password", account_views.account_password, name="account-password"),
    path("account/sessions/end", account_views.account_session_end, name="account-session-end"),
    path("account/sessions/end-others", account_views.account_sessions_end, name="account-sessions-end"),
    path("account/two-step/", two_step_views.two_step, name="two-step"),
    path("account/two-step/set-up", two_step_views.two_step_set_up, name="two-step-set-up"),
    path("account/two-step/codes", two_step_views.two_step_codes, name="two-step-codes"),
    path("account/two-step/off", two_step_views.two_step_off, name="two-step-off"),
    path("kitchen/sign-in/", owner_views.sign_in_rules, name="sign-in-rules"),
    path("kitchen/people/", people_views.people, name="people"),
    path("kitchen/people/<int:pk>/", people_views.person_page, name="person"),
    path("kitchen/people/<int:pk>/close", people_views.person_close_view, name="person-close"),
    path("kitchen/people/<int:pk>/open", people_views.person_open_view, name="person-open"),
    path("kitchen/people/<int:pk>/link", people_views.person_link, name="person-link"),
    path("kitchen/people/<int:pk>/sign-out", people_views.person_sign_out, name="person-sign-out"),
    path("kitchen/people/<int:pk>/reset", people_views.two_step_reset, name="two-step-reset"),
]
